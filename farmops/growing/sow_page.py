"""What the page of a sowing shows: its number, how many trays, which seed, and where there is room for them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from farmops.core.growth import through_stages
from farmops.farm.typed_amount import whole_of
from farmops.growing.chosen_spaces import into_text, into_words
from farmops.growing.ground_now import Key, ground_now, key_now, remembered
from farmops.growing.models import Planting, SeedLot, Variety
from farmops.growing.move_page import Choice
from farmops.growing.natural_order import natural_key
from farmops.growing.pace import need_of, paces_of
from farmops.growing.planting_codes import next_code
from farmops.growing.room_for import Into, RoomFor, coming_with, rooms_when, spread
from farmops.growing.sow import seed_lots_of
from farmops.journal.refusal import Refused


@dataclass(frozen=True, slots=True)
class SowPage:
    """The page of a sowing.

    Attributes
    ----------
    code : str
        The number its trays will bear; of a planned one it stands fast.
    plants : int
        As planned or asked for; 0 where nobody said.
    offered : sequence of Into
        What one press sows; fewer trays than planned where there is room for no more.
    ready_on : date or None
        By the schedule, sown today.
    """

    variety: Variety
    planned: Planting | None
    code: str
    plants: int
    seed_lots: Sequence[SeedLot]
    seed_lot: SeedLot | None
    offered: Sequence[Into]
    choices: Sequence[Choice] = field(default=())
    ready_on: date | None = None

    @property
    def sowing(self) -> int:
        """Plants that find room."""
        return sum(one.plants for one in self.offered)

    @property
    def parts(self) -> int:
        """Whole trays of one press; 0 where they do not come out whole."""
        parts, over = divmod(self.sowing, self.variety.part_plants)
        return 0 if over else parts

    @property
    def planned_parts(self) -> int:
        parts, over = divmod(self.plants, self.variety.part_plants)
        return 0 if over else parts

    @property
    def into(self) -> str:
        return into_text(self.offered)

    @property
    def to_words(self) -> Sequence[str]:
        return into_words(self.offered)

    @property
    def has_less_room(self) -> bool:
        return self.sowing < self.plants


def sow_page(variety: Variety, planned: Planting | None, asked: Mapping[str, str], today: date) -> SowPage:
    """The page of a sowing of a variety; `asked` may say `parts`."""
    plants = planned.plants if planned is not None else _asked(asked.get("parts", "")) * variety.part_plants
    what = f"sowing of {variety.pk}, {planned.pk if planned is not None else 'new'}"
    key = key_now(today)
    (rooms, plans, ready_on), lots, next_one = remembered(
        what,
        today,
        lambda: (rooms_for_sowing(variety, planned, today, key=key), seed_lots_of(variety), next_code(today)),
        key=key,
    )
    own = planned.seed_lot_id if planned is not None else None
    chosen = next((lot for lot in lots if lot.pk == own), lots[0] if lots else None)
    return SowPage(
        variety=variety,
        planned=planned,
        code=planned.code if planned is not None else next_one,
        plants=plants,
        seed_lots=lots,
        seed_lot=chosen,
        offered=whole_trays(spread(plants, rooms, plans), plants, variety.part_plants, rooms, plans),
        choices=[Choice(rooms[0].space.kind.name, rooms)] if rooms else [],
        ready_on=ready_on,
    )


def rooms_for_sowing(
    variety: Variety, planned: Planting | None, today: date, *, key: Key | None = None
) -> tuple[list[RoomFor], set[int], date | None]:
    """Spaces of the first stage with their room in walking order, those it is planned into, and when it is ready."""
    planting = planned or Planting(pk=0, variety=variety, sown_on=today)
    pace = paces_of([planting]).get(planting.pk)
    first = pace.stages[0] if pace is not None and pace.stages else None
    ground = ground_now(today, key=key)
    plans = ground.plans_of(planting.pk)
    rooms = rooms_when(
        [one for one in ground.rooms.values() if first is None or one.space.kind_id == first.kind_id],
        lambda kind: coming_with(pace, ground.place, kind, today),
        without={plan.pk for plan in plans},
    )
    ready_on = None
    if pace is not None and pace.stages:
        ready_on = through_stages([need_of(stage) for stage in pace.stages], ground.place, today)[-1].usual
    return rooms, {plan.space_id for plan in plans}, ready_on


def whole_trays(
    offered: Sequence[Into], plants: int, part_plants: int, rooms: Sequence[RoomFor], first: set[int]
) -> Sequence[Into]:
    """Where there is not room for all, as many whole trays as there is room for."""
    room = sum(one.plants for one in offered)
    return offered if room == plants else spread(room - room % part_plants, rooms, first)


def varieties_in_order() -> list[Variety]:
    """All varieties, by crop and name."""
    return sorted(Variety.objects.all(), key=lambda one: (natural_key(one.crop), natural_key(one.name)))


def _asked(parts: str) -> int:
    try:
        return min(whole_of(parts, field="parts", may_be_zero=True), 10_000) if parts.strip() else 0
    except Refused:
        return 0
