"""A farm kept on phones for a spring, deeds in any order: its sheets say it all, and reading them makes it again."""

import tempfile
from datetime import UTC, date, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from farmops.exchange.check_farm.check import check_farm
from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.exchange.write_sheets import write_sheets
from farmops.growing.balance import balances
from farmops.growing.clear import clear_planting
from farmops.growing.lose_plants import lose_plants
from farmops.growing.models import Planting, Space, Variety
from farmops.growing.move_plants import move_plants
from farmops.growing.room_for import Into
from farmops.growing.sow import sow
from farmops.harvest.cut_amounts import TypedCut
from farmops.harvest.pick_crop import CutFrom, pick_crop
from farmops.journal.deed import Saying
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.exchange.emptied import emptied
from tests.exchange.grown_farm import write_grown

NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
FIRST = date(2026, 3, 2)
YES = frozenset({"before_ready", "other_kind", "count-unusual", "after_clearing"})
DEEDS = ("sow", "move", "move", "lose", "pick", "pick somewhere", "clear a stay", "clear", "undo")


class Crew:
    """Does what is drawn, as far as the farm lets it."""

    def __init__(self, draw):
        self.draw, self.keys, self.day, self.done = draw, count(1), FIRST, []

    def saying(self, **other):
        told = {"key": f"phone-{next(self.keys)}", "body": {}, "said_at": NOW, "now": NOW, "day": self.day}
        return Saying(**{**told, **other})

    def work(self):
        deed = self.draw(st.sampled_from(DEEDS))
        self.day += timedelta(days=self.draw(st.integers(0, 4)))
        try:
            with transaction.atomic():
                entry = getattr(self, deed.split()[0])(deed)
        except Refused:
            return
        if entry is not None:
            self.done.append(entry.entry)

    def here(self):
        """A stay in which plants stand, and some of them."""
        standing = [one for found in balances(Planting.objects.standing()).values() for one in found.here]
        if not standing:
            return None
        one = self.draw(st.sampled_from(sorted(standing, key=lambda here: here.stay.pk)))
        return one.stay, self.draw(st.integers(1, one.plants))

    def sow(self, _deed):
        plants = self.draw(st.integers(1, 60))
        space = Space.objects.get(name="N-1")
        variety = Variety.objects.get(name=self.draw(st.sampled_from(("green butterhead", "red oakleaf"))))
        into = [Into(space, plants)] if self.draw(st.booleans()) else []
        return sow(saying=self.saying(), variety=variety, plants=plants, into=into, over_full_because="tight")

    def move(self, _deed):
        if (found := self.here()) is None:
            return None
        spaces = list(Space.objects.exclude(pk=found[0].space_id).select_related("kind").order_by("pk"))
        into = [Into(self.draw(st.sampled_from(spaces)), found[1])]
        return move_plants(saying=self.saying(), stay=found[0], into=into, over_full_because="tight", yes=YES)

    def lose(self, _deed):
        if (found := self.here()) is None:
            return None
        return lose_plants(saying=self.saying(), stay=found[0], plants=found[1], cause="slugs")

    def pick(self, deed):
        if (found := self.here()) is None:
            return None
        part = CutFrom(planting=found[0].planting, stay=found[0] if deed == "pick" else None)
        return pick_crop(saying=self.saying(), cut_from=[part], cut=TypedCut(count=str(found[1])), yes=YES)

    def clear(self, deed):
        if (found := self.here()) is None:
            return None
        stay = found[0] if deed == "clear a stay" else None
        return clear_planting(saying=self.saying(), planting=found[0].planting, stay=stay)

    def undo(self, _deed):
        if not self.done:
            return None
        undo(self.saying(corrects=self.done.pop()))
        return None


@pytest.mark.django_db
@settings(max_examples=8, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_what_phones_noted_is_written_read_and_written_the_same(data):
    with tempfile.TemporaryDirectory() as name, transaction.atomic():
        folder = Path(name)
        nothing = dict.fromkeys(("plantings", "stays", "losses", "walks", "picks", "waiting"))
        read_sheets(write_grown(folder / "farm", **nothing), now=NOW)
        crew = Crew(data.draw)
        crew.sow("sow")
        for _job in range(data.draw(st.integers(4, 16))):
            crew.work()
        assert [str(one) for one in check_farm(NOW.date())] == []
        written = write_sheets(folder / "first")
        assert (written.will_not_read, [what for what in written.left_out if "how plants left" in what]) == ([], [])
        emptied()
        read_sheets(folder / "first", now=NOW)
        write_sheets(folder / "second")
        for path in (folder / "first").iterdir():
            assert path.read_bytes() == (folder / "second" / path.name).read_bytes(), path.name
        emptied()
