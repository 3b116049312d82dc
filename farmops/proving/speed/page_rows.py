"""Pages: many years of records against one, each against its bare likeness, and how often each asks the database."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from farmops.proving.speed.pages import BUTTONS
from farmops.proving.speed.ratios import Row, counted, timed
from farmops.proving.speed.talking import Talk

YEARS_LIMIT, BARE_LIMIT, MOST_QUERIES = 1.15, 2.0, 15
AT_ONCE = 3  # of a page before the other farm has its turn
FEWEST, MOST, SECONDS = 6, 24, 1.5  # rounds, and what they may take of a page on one farm
PRESSES = 4
FRONT, AFTER = "due-now", ("after an entry", "first of the day")
Told = Callable[[str, str], None]
Wanted = Callable[[str], bool]


@dataclass(frozen=True, slots=True)
class Asked:
    """A page, and what happened just before."""

    page: str
    before: str = ""

    @property
    def name(self) -> str:
        return f"{self.page} {self.before}".strip()


def page_rows(one: Talk, ten: Talk, years: int, wanted: Wanted, left_out: Told) -> Iterator[Row]:
    """Rows of all pages; both farms are filled at the same time."""
    for talk, of in ((one, 1), (ten, years)):
        talk.tell("fill", years=of)
    for talk in (one, ten):
        talk.hear()
    pages = _of_both([talk.ask("find") for talk in (one, ten)], left_out)
    asked = [Asked(page) for page in pages] + [
        Asked(page, before) for page in pages if page == FRONT for before in AFTER
    ]
    for page in asked:
        if wanted(f"years:{page.name}"):
            yield years_row(page, one, ten)
    for button in BUTTONS:
        if wanted(f"years:{button} pressed"):
            yield pressed_row(button, one, ten)
    for page in asked:
        name = f"bare:{page.name}"
        if wanted(name) and not page.before:
            yield from bare_row(name, page, one, left_out)
    for page in asked:
        if wanted(f"queries:{page.name}"):
            yield queries_row(page, one, ten)


def _of_both(filled: Sequence[Mapping[str, object]], left_out: Told) -> list[str]:
    """Pages that both farms have."""
    for answer in filled:
        reasons = answer["left_out"]
        if isinstance(reasons, dict):
            for name, why in reasons.items():
                left_out(f"page {name}", why)
    first, second = (list(answer["pages"]) for answer in filled)  # type: ignore[call-overload]  # JSON
    for name in sorted({*first} ^ {*second}):
        left_out(f"page {name}", "only one of the two farms has it")
    return sorted({*first} & {*second})


def years_row(asked: Asked, one: Talk, ten: Talk) -> Row:
    """In turn, so that both meet the same neighbours on this computer."""
    warm = one.ask("page", page=asked.page, before=asked.before, times=2)["seconds"]
    ten.ask("page", page=asked.page, before=asked.before, times=2)
    young: list[float] = []
    old: list[float] = []
    for _round in range(rounds(min(warm) * AT_ONCE)):
        for talk, seconds in ((one, young), (ten, old)):
            seconds += talk.ask("page", page=asked.page, before=asked.before, times=AT_ONCE)["seconds"]
    return timed(f"years:{asked.name}", old, young, YEARS_LIMIT)


def pressed_row(button: str, one: Talk, ten: Talk) -> Row:
    """What is worked out at a press reads the last two years, which the younger farm has one of.

    So it may take as many times as long as it reads records, and no longer.
    """
    old, young = zip(
        *([talk.ask("press", button=button)["seconds"] for talk in (ten, one)] for _round in range(PRESSES)),
        strict=True,
    )
    more, fewer = (talk.ask("history")["records"] for talk in (ten, one))
    return timed(f"years:{button} pressed", old, young, more / fewer, limit_from=f"{more} records read, not {fewer}")


def bare_row(name: str, asked: Asked, farm: Talk, left_out: Told) -> Iterator[Row]:
    warm = farm.ask("page", page=asked.page, before="", times=3)["seconds"]
    answer = farm.ask("bare", page=asked.page, times=rounds(min(warm)))
    if "left_out" in answer:
        left_out(name, answer["left_out"])
        return
    yield timed(name, answer["seconds"], answer["bare"], BARE_LIMIT)


def queries_row(asked: Asked, one: Talk, ten: Talk) -> Row:
    """As often with many years as with one, and no oftener than a page may."""
    young, old = (talk.ask("queries", page=asked.page, before=asked.before)["queries"] for talk in (one, ten))
    return counted(f"queries:{asked.name}", old, MOST_QUERIES, 1.0, unit="queries", also=young == old)


def rounds(seconds: float) -> int:
    """As many as fit into the time for one page."""
    return max(FEWEST, min(MOST, int(SECONDS / max(seconds, 1e-4))))
