"""What the pages of varieties show: all of them with how they grow now, and one with every version of its schedule."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from farmops.growing.models import Schedule, Stage, Variety
from farmops.growing.natural_order import natural_key
from farmops.growing.typed_schedule import typed_of


@dataclass(frozen=True, slots=True)
class Version:
    """One version of a schedule with its stages in order; `is_now`: today's sowings follow it."""

    schedule: Schedule
    stages: Sequence[Stage]
    is_now: bool = False

    @property
    def days(self) -> Decimal:
        """From sowing to ready, as noted for each stage."""
        return sum((stage.days for stage in self.stages), Decimal(0))


@dataclass(frozen=True, slots=True)
class VarietyLine:
    """One variety and the version that today's sowings follow; None while it has none."""

    variety: Variety
    now: Version | None


def varieties_list(today: date) -> list[VarietyLine]:
    """All varieties in natural order of crop and name. Two queries."""
    versions = versions_of(Stage.objects.all(), today)
    varieties = sorted(Variety.objects.all(), key=lambda one: (natural_key(one.crop), natural_key(one.name)))
    return [
        VarietyLine(one, next((version for version in versions.get(one.pk, ()) if version.is_now), None))
        for one in varieties
    ]


def versions_of(stages: "QuerySet[Stage]", today: date) -> Mapping[int, list[Version]]:
    """Versions by their variety's key, the newest first. One query."""
    by_schedule: dict[int, list[Stage]] = defaultdict(list)
    for stage in stages.select_related("schedule__variety", "kind").order_by("number"):
        by_schedule[stage.schedule_id].append(stage)
    found: dict[int, list[Version]] = defaultdict(list)
    for of_schedule in by_schedule.values():
        schedule = of_schedule[0].schedule
        found[schedule.variety_id].append(Version(schedule, of_schedule))
    return {variety: _marked(versions, today) for variety, versions in found.items()}


def versions_of_variety(variety: Variety, today: date) -> list[Version]:
    """All versions of one, the newest first. One query."""
    return versions_of(Stage.objects.filter(schedule__variety=variety), today).get(variety.pk, [])


def schedules_to_copy(today: date) -> list[Version]:
    """Today's version of every variety, in natural order of their names. One query."""
    now = [one for of_variety in versions_of(Stage.objects.all(), today).values() for one in of_variety if one.is_now]
    return sorted(now, key=lambda one: natural_key(one.schedule.variety.name))


def typed_like(version: Version | None) -> dict[str, str]:
    """What a form would have to say to make this version again."""
    return typed_of(version.schedule, version.stages) if version is not None else {}


def known_words(field: str) -> list[str]:
    """What stands in a column of the varieties, each once, in natural order: for boxes to suggest."""
    found = Variety.objects.exclude(**{field: ""}).values_list(field, flat=True).distinct()
    return sorted(found, key=natural_key)


def _marked(versions: Sequence[Version], today: date) -> list[Version]:
    newest_first = sorted(versions, key=lambda one: one.schedule.valid_from or date.min, reverse=True)
    begun = [one for one in newest_first if (one.schedule.valid_from or date.min) <= today]
    now = begun[0] if begun else newest_first[-1]
    return [Version(one.schedule, one.stages, one is now) for one in newest_first]
