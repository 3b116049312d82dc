"""What headings mean: the words that people write over the columns of a market notebook."""

import re
import unicodedata
from dataclasses import dataclass

from django.utils.translation import gettext_lazy

# Words that people write over a column, after folding: lower case, no marks, one space. `|` parts the headings.
# The last line of some holds plain German, French and Spanish ones.
WORDS = {
    "date": "date|day|when|market date|market day|dt|datum|day of market|date of market|tag|fecha|dia",
    "market": "market|where|place|location|outlet|stall|stand|market name|venue|site|town|mkt|markt|ort|marche|mercado",
    "opens": "opens|open|opening|from|open from|opens at|market opens|start time|opening time",
    "closes": "closes|close|closing|to|until|till|closes at|market closes|end time|closing time|finish",
    "item": "item|what|crop|product|produce|vegetable|veg|veggie|herb|goods|thing|name|description|variety|items|crops"
    "|was|artikel|sorte|article|produit|producto",
    "unit": "unit|units|per|sold by|sold as|measure|uom|unit of sale|sold per|einheit|unite|unidad",
    "price": "price|each|ea|cost to customer|price each|unit price|sold at|charged|selling price|price per unit"
    "|price unit|price per bunch|price per lb|dollars each|asking price"
    "|preis|prix|precio",
    "brought": "brought|took|taken|to market|to mkt|brought to market|taken to market|loaded|packed|harvested"
    "|bring|start count|started with|amount brought|qty brought|brought in|stock|qty taken|quantity brought"
    "|how many brought|load|sent|amount taken|took to market|qty to market|offered"
    "|mitgenommen|gebracht|apporte|llevado",
    "left_over": "left over|left|leftover|leftovers|left overs|came back|back|returned|return|from market|from mkt"
    "|remaining|unsold|brought back|brought home|remains|returns|amount left|qty left|end count|not sold|came home"
    "|taken home|left at end|remainder|surplus"
    "|zuruck|zurueck|ubrig|uebrig|reste|sobro",
    "other_left": "donated|donation|given away|gave away|compost|composted|home|kept|eaten|thrown|thrown away|dropped"
    "|waste|wasted|spoiled|spoilt|food bank|foodbank|gleaned|chickens|pigs|traded|swapped|discarded|dumped",
    "restocked": "restocked|restock|more brought out|added|put out later|topped up|top up|refilled|refill|second load"
    "|back on the table|added later",
    "restocked_at": "restocked at|restock time|restocked when|added at|refilled at|topped up at|time restocked",
    "sold_out_at": "sold out at|gone by|ran out|ran out at|sold out|out at|gone|gone at|sellout|sell out|sold out time"
    "|sell out time|time sold out|out of stock at|time gone|run out|none left at|empty at|last one at|out by"
    "|ausverkauft|ausverkauft um|epuise|epuise a|agotado|agotado a las",
    "sold": "sold|sales|qty sold|sold qty|amount sold|units sold|number sold|how many sold|total sold|tally"
    "|verkauft|vendu|vendido",
    "carried_in": "carried in|carried over|carry over|carryover|from last market|left from last time|old stock|carried",
    "unit_cost": "unit cost|cost|cost each|costs to grow|cost to grow|cost per unit|growing cost|cost of growing",
    "leftover_value": "leftover value|left over value|leftover worth|worth left over|salvage|value of leftovers",
    "step": "step|counted in|smallest sold|sold in steps of|increment",
    "guess": "guess|my guess|my own guess|could sell|could have sold|want|wanted|my estimate|expected",
    "weather": "weather|sky|rain|conditions|weather conditions|wx|rain or dry|wetter|meteo|tiempo",
    "status": "status|took place|held|happened|called off|cancelled|canceled|market held",
}
FIELDS = {heading: name for name, headings in WORDS.items() for heading in headings.split("|")}
# Words that tell a column wherever they stand in its heading; used only where no heading is known as a whole.
WITHIN = {
    "date": re.compile(r"\bdate\b"),
    "sold_out_at": re.compile(r"\b(sold out|ran out|gone by|sellout)\b"),
    "left_over": re.compile(r"\b(left over|leftovers?|came back|brought back|unsold|returned)\b"),
    "price": re.compile(r"\bprice\b"),
    "weather": re.compile(r"\bweather\b"),
    "market": re.compile(r"\b(market|outlet) name\b|\bwhich market\b"),
}
MEANINGS = {
    "date": gettext_lazy("the market day"),
    "market": gettext_lazy("which market"),
    "opens": gettext_lazy("when the market opens"),
    "closes": gettext_lazy("when the market closes"),
    "item": gettext_lazy("what was sold"),
    "unit": gettext_lazy("what is counted (bunch, head, lb)"),
    "price": gettext_lazy("price of one"),
    "brought": gettext_lazy("how many were brought"),
    "left_over": gettext_lazy("how many came back"),
    "other_left": gettext_lazy("what was given away, composted or kept"),
    "restocked": gettext_lazy("how many were put on the table later"),
    "restocked_at": gettext_lazy("when more was put on the table"),
    "sold_out_at": gettext_lazy("when it ran out"),
    "sold": gettext_lazy("how many were sold"),
    "carried_in": gettext_lazy("left from an earlier market"),
    "unit_cost": gettext_lazy("what one costs to grow and pick"),
    "leftover_value": gettext_lazy("what a leftover is worth"),
    "step": gettext_lazy("the smallest amount that is sold"),
    "guess": gettext_lazy("your own guess of what could be sold"),
    "weather": gettext_lazy("the weather"),
    "status": gettext_lazy("whether the market took place"),
}
SEVERAL = {"other_left"}
# Of the kinds of leftovers a sheet tells apart: what fed somebody or is sold another day, and what is thrown away.
NOT_WASTED = re.compile(r"\b(donat\w*|giv\w+ away|gave away|food ?banks?|gleaned|home|kept|eaten|traded|swapped)\b")
WASTED = re.compile(r"\b(compost\w*|thrown|wast\w*|spoil\w*|dropped|discarded|dumped)\b")
MONEY_FIELDS = {"price", "unit_cost", "leftover_value"}
MONEY_WORD = re.compile(r"\$|\b(usd|dollars?)\b", re.IGNORECASE)
BESIDE = {"per", "a", "an", "one", "for"}  # with a unit and a sign of money: "$ per bunch"
ARTICLES = {"the", "our", "my"}
STRICT_REQUIRED = ("date", "market", "opens", "closes", "item", "unit", "price", "brought", "left_over")
UNITS = set(
    "lb lbs pound pounds oz ounce ounces kg g gram grams bunch bunches bu head heads hd ea each pc pcs piece pieces bag"
    " bags ct count unit units pint pints box boxes tray trays pot pots qty number no num # $ usd dollars".split()
)


@dataclass(frozen=True, slots=True)
class Mapping:
    """Field to columns (0-based); headings by column; what is not used."""

    columns: dict[str, tuple[int, ...]]
    headings: tuple[str, ...]

    def has(self, name: str) -> bool:
        return bool(self.columns.get(name))

    def column(self, name: str) -> int | None:
        found = self.columns.get(name)
        return found[0] if found else None

    def heading(self, name: str) -> str:
        """The sheet's own words for the field, else ours."""
        found = self.column(name)
        return self.headings[found] if found is not None else name

    @property
    def unused(self) -> tuple[str, ...]:
        used = {column for columns in self.columns.values() for column in columns}
        return tuple(words for column, words in enumerate(self.headings) if words and column not in used)


def fold(heading: str) -> str:
    """A heading for comparing: lower case, marks to spaces, bracketed notes and accents gone."""
    text = re.sub(r"[(\[{].*?[)\]}]", " ", unicodedata.normalize("NFKD", heading))
    text = "".join(letter for letter in text if not unicodedata.combining(letter)).casefold()
    return re.sub(r"[^a-z0-9#$]+", " ", text).strip()


def field_of(heading: str) -> str | None:
    """The field that a heading names, exactly or but for a unit or an article beside it; None if unknown.

    A heading of money alone with its unit ("$/bunch") is the price; money beside a word of amounts ("Sales $") is
    takings, which no field holds.
    """
    folded = fold(heading)
    bare = " ".join(word for word in folded.split() if word not in UNITS)
    found = FIELDS.get(folded) or FIELDS.get(bare)
    if found is None and bare:
        found = FIELDS.get(" ".join(word for word in bare.split() if word not in ARTICLES))
    if not MONEY_WORD.search(heading):
        return found
    if _is_money_of_a_unit(heading):
        return "price"
    return found if found in MONEY_FIELDS else None


def is_not_wasted(heading: str) -> bool:
    """Whether a column of leftovers holds what was given away, eaten or kept; if in doubt it is waste."""
    folded = fold(heading)
    return bool(NOT_WASTED.search(folded)) and not WASTED.search(folded)


def is_taken_home(heading: str) -> bool:
    """Whether a column of what was left says in so many words that it went home."""
    return fold(heading) == "taken home"


def _is_money_of_a_unit(heading: str) -> bool:
    words = set(fold(re.sub(r"[()\[\]{}]", " ", heading)).split())
    units = {word for word in words - BESIDE if word in UNITS and not MONEY_WORD.fullmatch(word)}
    return bool(units) and words <= UNITS | BESIDE
