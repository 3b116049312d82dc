"""Spaces as a form names them."""

import pytest

from farmops.growing.balance import Here
from farmops.growing.chosen_spaces import into_of_text, into_text, into_words, places_of_stand, space_named
from farmops.growing.room_for import Into
from farmops.journal.refusal import Refused
from tests.growing.beds import a_planting, a_space, a_stay

pytestmark = pytest.mark.django_db


def test_a_button_sends_what_it_says():
    into = [Into(a_space("N-3"), 72), Into(a_space("N-4"), 48)]
    assert into_of_text(into_text(into)) == into
    assert into_words(into) == ["N-3 72", "N-4 48"]
    assert into_words(into[:1]) == ["N-3"]
    assert into_of_text("") == []


@pytest.mark.parametrize("text", ["1", "1=2=3", "a=1", "1=b", "=", "1=-2", "١=٢", f"{10**18}=1"])
def test_what_no_button_sends_is_refused(text):
    with pytest.raises(Refused, match=r"^That button was made by an older page\. Open the page again\.$"):
        into_of_text(text)


def test_a_space_is_found_by_its_name_however_it_is_written():
    space = a_space("N-3")
    assert [space_named(name) for name in ("N-3", " n-3 ")] == [space, space]


def test_a_space_that_holds_one_planting_twice_is_named_once_in_walking_order():
    planting = a_planting()
    ten, two = a_space("F-10"), a_space("F-2")
    here = [Here(a_stay(planting, space, plants), plants) for space, plants in ((ten, 6), (two, 5), (ten, 8))]
    assert places_of_stand(here) == ["F-2 5", "F-10 14"]
