"""What somebody knows of weeks to come: of customers, of days, of what survives."""

from collections.abc import Sequence
from typing import Protocol

import numpy as np
import numpy.typing as npt

from farmops.core.sizing import Market, Stage, market_pieces
from farmops.proving.sizing_farms import stages_of
from farmops.proving.sown.farm import Farm
from farmops.proving.sown.greenhouse import Planting
from farmops.proving.sown.luck import Luck, real_stages
from farmops.proving.worlds.draws import ItemDay, SeasonDraw

LEAST = 0.02  # of plants: what a lost planting is told to keep, so that it has places but gives next to nothing


class View(Protocol):
    """What a policy goes by."""

    def markets(self, item: int, week: int) -> Sequence[Market]:
        """The week's markets of an item, in the season's own weeks."""

    def mean(self, item: int, week: int) -> float:
        """Pieces asked for in a week, over all markets."""

    def stages(self, item: int, week: int) -> tuple[Stage, ...]:
        """Stages of a sowing of this week."""

    def rest(self, planting: Planting, week: int) -> tuple[Stage, ...]:
        """Stages of a planting that stands, those that are over as they were."""


def chances_of(book: npt.NDArray[np.int64]) -> list[float]:
    """Chances of 0, 1, 2, ... pieces from draws of a day's demand."""
    counts = np.bincount(book)
    return [float(one) for one in counts / counts.sum()]


class Customers:
    """The true distribution of each day's demand, as the season was drawn."""

    def __init__(self, farm: Farm, draw: SeasonDraw) -> None:
        self.farm = farm
        self.days: dict[int, list[tuple[str, tuple[ItemDay, ...]]]] = {}
        for day in draw.days:
            self.days.setdefault(day.week, []).append((day.market.name, day.items))
        self._markets: dict[tuple[int, int], tuple[Market, ...]] = {}

    def markets(self, item: int, week: int) -> tuple[Market, ...]:
        if (item, week) not in self._markets:
            crop = self.farm.crops[item]
            self._markets[item, week] = tuple(
                Market(
                    f"{name} {crop.key} {week}",
                    crop.key,
                    week,
                    market_pieces(chances_of(items[item].book), crop.price),
                    crop.price,
                    mean=items[item].mean,
                )
                for name, items in self.days[week]
            )
        return self._markets[item, week]

    def mean(self, item: int, week: int) -> float:
        return sum(items[item].mean for _name, items in self.days[week])


class Knowing(Customers):
    """Knows the distribution of every day's demand and foresees how each planting grows, and what of it is lost."""

    def __init__(self, farm: Farm, draw: SeasonDraw, luck: Luck) -> None:
        super().__init__(farm, draw)
        self.luck = luck

    def stages(self, item: int, week: int) -> tuple[Stage, ...]:
        return with_loss(real_stages(self.farm, self.luck, item, week), int(self.luck.lost[item, week]))

    def rest(self, planting: Planting, week: int) -> tuple[Stage, ...]:
        return with_loss(planting.stages, planting.lost)


def with_loss(stages: tuple[Stage, ...], lost: int) -> tuple[Stage, ...]:
    """As they go; a lost planting keeps next to nothing in the stage it is lost in."""
    return tuple(
        Stage(stage.kind, stage.days, stage.places, LEAST) if number == lost else stage
        for number, stage in enumerate(stages)
    )


class ByTheTable(Customers):
    """Knows the customers, and takes the farm's table of days and losses as it is; of what is over, the records."""

    def stages(self, item: int, week: int) -> tuple[Stage, ...]:
        return stages_of(self.farm.crops[item], week)

    def rest(self, planting: Planting, week: int) -> tuple[Stage, ...]:
        return with_records(planting, self.stages(planting.item, planting.sown))


def with_records(planting: Planting, expected: tuple[Stage, ...]) -> tuple[Stage, ...]:
    """Stages that are over as they were, the others as expected."""
    over = len(planting.seen)
    done = tuple(
        Stage(stage.kind, days, stage.places, max(share, LEAST))
        for stage, (days, share) in zip(planting.stages, planting.seen, strict=False)
    )
    return done + expected[over:]
