"""Forms of the winter plan."""

import pytest
from django.http import QueryDict

from farmops.planning.winter_forms import BoxContentsForm, ClosedDaysForm, CopyYearForm
from tests.selling.market import an_item, the_market
from tests.selling.orders import a_box


@pytest.mark.django_db
def test_the_whole_farm_stands_first():
    for name in ("Fair 10", "Fair 9"):
        the_market(name)
    choices = [words for _value, words in ClosedDaysForm().fields["outlet"].choices]
    assert choices == ["the whole farm", "Fair 9", "Fair 10"]


@pytest.mark.parametrize(("typed", "read"), [("", "last"), ("&week_53=first", "first"), ("&week_53=last", "last")])
def test_week_53_goes_into_the_last_week_unless_it_is_chosen(typed, read):
    form = CopyYearForm(QueryDict(f"once=one{typed}"))
    assert form.is_valid()
    assert form.cleaned_data["week_53"] == read


def test_no_other_week_can_be_chosen():
    assert not CopyYearForm(QueryDict("once=one&week_53=other")).is_valid()


@pytest.mark.django_db
def test_every_item_has_its_figure():
    items = [an_item("kale"), an_item("tat soi", unit="lb")]
    form = BoxContentsForm(
        items, QueryDict(f"once=one&box={a_box().pk}&first_on=2026-06-01&boxes=2&item-{items[1].pk}=1")
    )
    assert form.is_valid()
    assert [field.label for field in form.item_fields] == ["kale (bunch)", "tat soi (lb)"]
    assert form.typed == {items[0].pk: "", items[1].pk: "1"}
