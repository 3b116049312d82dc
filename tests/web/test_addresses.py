"""Names of the farm in addresses."""

import pytest
from django.urls import resolve, reverse
from hypothesis import given
from hypothesis import strategies as st

from farmops.web.addresses import NameInAddress
from tests.growing.beds import a_planting, a_space, a_stay
from tests.pages import text_of

NAMES = ("a/b", "..", ".", "%2F", "~s", "~", "🌱🌱", "ערוגה 7", "a?b#c", "<b>7</b>", "N" * 20, "1/2~3")


@given(name=st.text(min_size=1, max_size=40))
def test_every_name_is_one_step_and_comes_back(name):
    step = NameInAddress().to_url(name)
    assert (NameInAddress().to_python(step), "/" in step, step.strip(".") == "") == (name, False, False)


def test_plain_names_stay_as_they_are():
    assert [NameInAddress().to_url(name) for name in ("F-7", "P26-184", "1.5")] == ["F-7", "P26-184", "1.5"]
    assert (reverse("space", args=["3/4"]), reverse("planting", args=[".."])) == ("/spaces/3~s4/", "/plantings/~d~d/")
    assert resolve("/spaces/3~s4/").kwargs == {"name": "3/4"}


@pytest.mark.django_db
@pytest.mark.parametrize("name", NAMES)
def test_a_space_and_a_planting_of_any_name_have_their_pages(phone_client, name):
    stay = a_stay(a_planting(name, 12), a_space(name))
    move = reverse("move-plants", args=[stay.pk])
    for address in (reverse("spaces"), reverse("space", args=[name]), reverse("plantings"), move):
        assert phone_client.get(address).status_code == 200
    for page in ("planting", "walk-past", "clear-planting", "do-not-cut", "pick-crop", "plan-stay", "sow-planned"):
        assert phone_client.get(reverse(page, args=[name])).status_code == 200
    assert text_of(phone_client.get(reverse("space", args=[name]))).startswith(
        f"{name} finishing channel 6 of 18 places"
    )
