"""What a room looks at when its rows are taken back."""

import pytest

from farmops.growing import plants_back
from farmops.growing.lose_plants import lose_plants
from farmops.growing.models import Leaving, Stay
from farmops.journal import let_back
from farmops.journal.refusal import Refused
from tests.growing.beds import a_planting, a_space, a_stay, saying
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db


def test_a_model_that_wants_to_be_asked_names_a_module_of_its_own_room_with_both_functions():
    assert Leaving.let_back == plants_back.__name__
    assert Leaving.let_back.startswith(f"farmops.{Leaving._meta.app_label}.")
    assert callable(plants_back.lock)
    assert callable(plants_back.check)


def test_a_room_is_asked_only_about_entries_with_rows_of_its_own(django_assert_num_queries):
    outlet, undoing = an_entry("an outlet"), an_entry("its undo")
    with django_assert_num_queries(2):
        let_back.check(outlet, undoing, "")


def test_what_a_room_says_against_it_stops_it():
    channel = a_space("F-1")
    stay = a_stay(a_planting("P-1", 12), channel)
    lost = lose_plants(saying=saying("lost"), stay=stay, plants=12).entry
    a_stay(a_planting("P-2", 18), channel)
    undoing = an_entry("undo", job="undo", corrects=lost)
    Stay.objects.filter(pk=stay.pk).update(is_over=False)
    with pytest.raises(Refused, match=r"^F-1 has 18 places; with this 30 would be taken"):
        let_back.check(lost, undoing, "")
