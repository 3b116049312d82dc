"""The number of a planting, which its trays bear: P26-184 is the 184th of 2026. Never used twice."""

import re
from datetime import date

from farmops.farm.models import Farm
from farmops.growing.models import Planting


def next_code(sown_on: date) -> str:
    """The next free number of the year of sowing; inside a deed after `lock_codes`, else only a preview."""
    start = f"P{sown_on.year % 100:02d}-"
    taken = Planting.objects.filter(code__istartswith=start).values_list("code", flat=True)
    numbers = [int(code[len(start) :]) for code in taken if re.fullmatch(r"[0-9]{1,9}", code[len(start) :])]
    return f"{start}{max(numbers, default=0) + 1:03d}"


def lock_codes() -> None:
    """Let nobody else give a number until this deed is written: the farm's row is locked."""
    list(Farm.objects.select_for_update(no_key=True))
