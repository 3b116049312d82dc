"""Rows of one farm: a pick on disk, paper, the first visit of a phone, and many phones at once."""

from collections.abc import Callable, Iterator
from statistics import median

from farmops.proving.speed.crowd import Phone, Reading, all_at_once, server
from farmops.proving.speed.ratios import Row, counted, quietest, timed
from farmops.proving.speed.talking import Talk

BY_HAND_LIMIT, PAPER_LIMIT, MOST_BYTES = 3.0, 1.15, 150_000
POSTS, PAPERS, LINES = 100, 9, 60
PHONES, BEFORE, LEAST = 16, 3, 3
ROWS = 10_000
Wanted = Callable[[str], bool]
Told = Callable[[str, str], None]


def farm_rows(farm: Talk, wanted: Wanted, left_out: Told) -> Iterator[Row]:
    """Rows of a farm of a year; the phones come last, since their picks stay."""
    farm.ask("fill", years=1)
    if wanted("cold:bytes") or wanted("cold:elsewhere"):
        yield from (row for row in first_visit_rows(farm) if wanted(row.name))
    if wanted("paper:pick list"):
        yield from paper_row(farm, left_out)
    if wanted("post:pick"):
        said = farm.ask("post", times=POSTS)
        yield quietest("post:pick", said["new"], said["again"], said["by_hand"], BY_HAND_LIMIT)
    if any(wanted(f"crowd:{name}") for name in ("refused", "lost", "slowest")):
        yield from (row for row in crowd_rows(farm) if wanted(row.name))


def first_visit_rows(farm: Talk) -> Iterator[Row]:
    said = farm.ask("first_visit")
    yield counted("cold:bytes", said["bytes"], MOST_BYTES, 1.0, unit="bytes")
    yield counted("cold:elsewhere", len(said["elsewhere"]), said["files"], 0.0, unit="files")


def paper_row(farm: Talk, left_out: Told) -> Iterator[Row]:
    said = farm.ask("paper", lines=LINES, times=PAPERS)
    if "left_out" in said:
        left_out("paper:pick list", said["left_out"])
        return
    yield timed("paper:pick list", said["ours"], said["alone"], PAPER_LIMIT)


def crowd_rows(farm: Talk) -> Iterator[Row]:
    """Nothing refused and nothing lost of what was acknowledged; the slowest beside what a pick takes in peace."""
    said = farm.ask("phones", number=PHONES)
    phones = [Phone(one["cookies"], one["posts"]) for one in said["phones"]]
    sheets = farm.folder / "sheets"
    farm.ask("older_sheets", folder=str(sheets), rows=ROWS)
    with server(farm.folder) as address:
        in_peace = all_at_once(address, phones, lambda: True, least=BEFORE)
        reading = Reading(farm.folder, sheets)
        sent = all_at_once(address, phones, lambda: reading.is_over, least=LEAST)
        added = reading.rows_added()
    kept = farm.ask("kept", keys=[*in_peace.seconds, *sent.seconds])["kept"]
    lost = len(in_peace.seconds) + len(sent.seconds) - kept
    is_enough = added >= ROWS
    refused = [*in_peace.refused, *sent.refused]
    posts = in_peace.number + sent.number
    yield counted("crowd:refused", len(refused), posts, 0.0, unit="picks", also=is_enough)
    yield counted("crowd:lost", lost, posts, 0.0, unit="picks", also=is_enough)
    if in_peace.seconds and sent.seconds:
        slowest = max(sent.seconds.values())
        yield counted("crowd:slowest", slowest, median(in_peace.seconds.values()), None, unit="s")
