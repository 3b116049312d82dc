"""Which column is what: matched by plain words, asked where words do not decide, overridden by the person."""

import re
import unicodedata
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmops.exchange.notebook.doubts import Choice, Questions

NOT_THERE = "none"

# Words that people write over a column, after folding: lower case, no marks, one space. `|` parts the headings.
WORDS = {
    "date": "date|day|when|market date|market day|dt|datum|day of market|date of market",
    "market": "market|where|place|location|outlet|stall|stand|market name|venue|site|town|mkt",
    "opens": "opens|open|opening|from|open from|opens at|market opens|start time|opening time",
    "closes": "closes|close|closing|to|until|till|closes at|market closes|end time|closing time|finish",
    "item": "item|what|crop|product|produce|vegetable|veg|veggie|herb|goods|thing|name|description|variety|items|crops",
    "unit": "unit|units|per|sold by|sold as|measure|uom|unit of sale|sold per",
    "price": "price|each|cost to customer|price each|unit price|sold at|charged|selling price|price per unit|price unit"
    "|price per bunch|price per lb|dollars each|asking price",
    "brought": "brought|took|taken|to market|to mkt|brought to market|taken to market|loaded|packed|harvested"
    "|bring|start count|started with|amount brought|qty brought|brought in|stock|qty taken|quantity brought"
    "|how many brought|load|sent|amount taken|took to market|qty to market|offered",
    "left_over": "left over|left|leftover|leftovers|left overs|came back|back|returned|return|from market|from mkt"
    "|remaining|unsold|brought back|brought home|remains|returns|amount left|qty left|end count|not sold|came home"
    "|taken home|left at end|remainder|surplus",
    "other_left": "donated|donation|given away|gave away|compost|composted|home|kept|eaten|thrown|thrown away|dropped"
    "|waste|wasted|spoiled|spoilt|food bank|foodbank|gleaned|chickens|pigs|traded|swapped|discarded|dumped",
    "restocked": "restocked|restock|more brought out|added|put out later|topped up|top up|refilled|refill|second load"
    "|back on the table|added later",
    "restocked_at": "restocked at|restock time|restocked when|added at|refilled at|topped up at|time restocked",
    "sold_out_at": "sold out at|gone by|ran out|ran out at|sold out|out at|gone|gone at|sellout|sell out|sold out time"
    "|sell out time|time sold out|out of stock at|time gone|run out|none left at|empty at|last one at|out by",
    "sold": "sold|sales|qty sold|sold qty|amount sold|units sold|number sold|how many sold|total sold|tally",
    "carried_in": "carried in|carried over|carry over|carryover|from last market|left from last time|old stock|carried",
    "unit_cost": "unit cost|cost|cost each|costs to grow|cost to grow|cost per unit|growing cost|cost of growing",
    "leftover_value": "leftover value|left over value|leftover worth|worth left over|salvage|value of leftovers",
    "step": "step|counted in|smallest sold|sold in steps of|increment",
    "guess": "guess|my guess|my own guess|could sell|could have sold|want|wanted|my estimate|expected",
    "weather": "weather|sky|rain|conditions|weather conditions|wx|rain or dry",
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
    """The field that a heading names, exactly or but for a unit beside it ("Brought lb"); None if unknown."""
    folded = fold(heading)
    if folded in FIELDS:
        return FIELDS[folded]
    bare = " ".join(word for word in folded.split() if word not in UNITS)
    if bare and bare != folded and bare in FIELDS:
        return FIELDS[bare]
    return None


def match_columns(headings: tuple[str, ...], questions: Questions) -> Mapping:
    """Columns by words and answers; asks where two columns claim one field or a needed one is missing."""
    claims: dict[str, list[int]] = {}
    for column, heading in enumerate(headings):
        if heading and (name := field_of(heading)):
            claims.setdefault(name, []).append(column)
    for name, words in WITHIN.items():
        if name not in claims:
            free = [at for at, heading in enumerate(headings) if heading and field_of(heading) is None]
            claims[name] = [at for at in free if len(headings[at]) < 40 and words.search(fold(headings[at]))]
    columns = {name: tuple(found) for name, found in claims.items() if found}
    _override(columns, headings, questions)
    for name, found in list(columns.items()):
        if len(found) > 1 and name not in SEVERAL:
            exact = [column for column in found if fold(headings[column]) == name.replace("_", " ")]
            columns[name] = tuple(exact) if len(exact) == 1 else _ask_which(name, found, headings, questions)
    mapping = Mapping(columns, headings)
    asked = {doubt.key for doubt in questions.doubts}
    for name in _missing(mapping):
        if f"column.{name}" in asked:
            continue
        columns[name] = _ask_which(name, _unused(mapping), headings, questions)
    _keep_named(columns, questions)
    return Mapping({name: found for name, found in columns.items() if found}, headings)


def _override(columns: dict[str, tuple[int, ...]], headings: tuple[str, ...], questions: Questions) -> None:
    """What the person said about a column wins over the words above it."""
    for name in WORDS:
        said = questions.answers.get(f"column.{name}")
        if said is None:
            continue
        chosen = () if said == NOT_THERE else _chosen(said, len(headings))
        if said != NOT_THERE and not chosen:
            continue
        for other in columns:
            columns[other] = tuple(column for column in columns[other] if column not in chosen)
        columns[name] = chosen


def _chosen(said: str, count: int) -> tuple[int, ...]:
    picked = [int(part) for part in said.split(",") if part.strip().isdecimal() and len(part) < 6]
    return tuple(column for column in picked if column < count)


def _missing(mapping: Mapping) -> list[str]:
    needed = [name for name in ("date", "item") if not mapping.has(name)]
    enough = mapping.has("brought") or (mapping.has("sold") and (mapping.has("left_over") or mapping.has("other_left")))
    if not enough:
        needed.append("brought")
    told = any(mapping.has(name) for name in ("left_over", "other_left", "sold", "sold_out_at"))
    return needed if told else [*needed, "left_over"]


def _unused(mapping: Mapping) -> tuple[int, ...]:
    used = {column for columns in mapping.columns.values() for column in columns}
    return tuple(column for column, words in enumerate(mapping.headings) if words and column not in used)


def _ask_which(name: str, columns: tuple[int, ...], headings: tuple[str, ...], questions: Questions) -> tuple[int, ...]:
    choices = [Choice(str(column), headings[column]) for column in columns]
    choices.append(Choice(NOT_THERE, str(_("It is not in this sheet"))))
    said = questions.ask(
        f"column.{name}",
        _("Which column tells %(meaning)s?") % {"meaning": MEANINGS[name]},
        tuple(choices),
        column=name,
    )
    return _chosen(said, len(headings)) if said and said != NOT_THERE else ()


def _keep_named(columns: dict[str, tuple[int, ...]], questions: Questions) -> None:
    """Each column has one meaning: the first field that holds it keeps it."""
    taken: set[int] = set()
    for name in sorted(columns, key=lambda name: questions.answers.get(f"column.{name}") is None):
        columns[name] = tuple(column for column in columns[name] if column not in taken)
        taken |= set(columns[name])
