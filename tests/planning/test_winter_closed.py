"""Closed days of the farm and of its outlets are noted, opened again, and taken back."""

from datetime import date

import pytest

from farmops.farm.models import ClosedDays
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from farmops.planning.winter_closed import ClosedLine, close_days, closed_lines, open_again
from farmops.selling.market_dates import market_dates
from farmops.selling.models import OutletClosedDays
from tests.selling.market import a_line, saying, the_market

pytestmark = pytest.mark.django_db
JULY = date(2026, 7, 4)
TODAY = date(2026, 5, 4)


def close(key="close", outlet=None, first=JULY, last=JULY, **other):
    return close_days(saying=saying(key), outlet=outlet, first_on=first, last_on=last, **other)


def open_on(day):
    return [outlet.name for _day, outlet in market_dates(day, day)]


def test_the_whole_farm_is_closed_and_opened_again():
    the_market()
    assert open_on(JULY) == ["Quillby Green"]
    assert close(reason=" wedding ").entry.said == "The whole farm closed Sat 4 Jul 2026"
    assert open_on(JULY) == []
    row = ClosedDays.objects.get()
    assert closed_lines(TODAY) == [ClosedLine("farm", row.pk, "", JULY, JULY, "wedding")]
    said = open_again(saying=saying("open"), kind="farm", number=row.pk).entry.said
    assert said == "The whole farm open again Sat 4 Jul 2026"
    assert (open_on(JULY), closed_lines(TODAY)) == (["Quillby Green"], [])
    with pytest.raises(Refused, match=r"^These days are open again already\.$"):
        open_again(saying=saying("twice"), kind="farm", number=row.pk)


def test_one_outlet_is_closed_for_days_and_a_market_on_the_list_is_named():
    a_line(held_on=JULY)
    the_market("Fair")
    done = close(outlet=the_market(), first=date(2026, 7, 1), last=date(2026, 7, 12))
    assert done.entry.said == (
        "Quillby Green closed Wed 1 Jul 2026 to Sun 12 Jul 2026; on the list still: Quillby Green Sat 4 Jul 2026"
    )
    assert open_on(JULY) == ["Fair"]
    row = OutletClosedDays.objects.get()
    assert closed_lines(date(2026, 7, 12)) == [
        ClosedLine("outlet", row.pk, "Quillby Green", date(2026, 7, 1), date(2026, 7, 12), "")
    ]
    assert closed_lines(date(2026, 7, 13)) == []


def test_undo_opens_and_closes_again():
    the_market()
    done = close()
    undo(saying=saying("undo", corrects=done.entry))
    assert open_on(JULY) == ["Quillby Green"]
    close("again")
    opened = open_again(saying=saying("open"), kind="farm", number=ClosedDays.objects.latest("pk").pk)
    undo(saying=saying("undo open", corrects=opened.entry))
    assert open_on(JULY) == []


def test_what_is_noted_already_or_ends_before_it_begins_is_refused():
    close()
    with pytest.raises(Refused, match=r"^That is noted already\.$"):
        close("again")
    with pytest.raises(Refused, match=r"^The last closed day must not come before the first\.$"):
        close("back", last=date(2026, 7, 3))
    assert ClosedDays.objects.count() == 1
