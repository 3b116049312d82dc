"""Rules of treatments and waits hold also past the forms."""

from datetime import date

import pytest
from django.db import IntegrityError

from farmops.growing.models import Planting, Variety
from farmops.waiting.models import DoNotCut, Lifted, Treatment
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db
DAY = date(2026, 5, 4)


@pytest.fixture
def planting():
    variety = Variety.objects.create(name="sweet basil", crop="basil")
    entry = an_entry("sowing")
    return Planting.objects.create(code="P-1", variety=variety, state="done", sown_on=DAY, plants=72, entry=entry)


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [({"planting": None}, "treatment_names_what"), ({"product": ""}, "treatment_names_product")],
)
def test_a_treatment_that_breaks_a_rule_is_not_stored(planting, wrong, rule):
    facts = {"planting": planting, "product": "soap spray (invented label)", "ended_on": DAY, **wrong}
    with pytest.raises(IntegrityError, match=rule):
        Treatment.objects.bulk_create([Treatment(entry=planting.entry, **facts)])


def test_a_wait_and_its_lifting_say_why(planting):
    with pytest.raises(IntegrityError, match="do_not_cut_says_why"):
        DoNotCut.objects.bulk_create([DoNotCut(planting=planting, reason="", entry=planting.entry)])


def test_a_lifting_says_why(planting):
    wait = DoNotCut.objects.create(planting=planting, reason="mildew looked at", entry=planting.entry)
    with pytest.raises(IntegrityError, match="lifted_says_why"):
        Lifted.objects.bulk_create([Lifted(wait=wait, reason="", entry=planting.entry)])


def test_a_wait_is_in_force_until_lifted_and_again_when_the_lifting_is_taken_back(planting):
    wait = DoNotCut.objects.create(planting=planting, reason="mildew looked at", entry=planting.entry)
    assert list(DoNotCut.objects.in_force()) == [wait]
    lifting = an_entry("lifting", job="wait")
    Lifted.objects.create(wait=wait, reason="it was dust", entry=lifting)
    assert list(DoNotCut.objects.in_force()) == []
    an_entry("undo", job="undo", corrects=lifting)
    assert list(DoNotCut.objects.in_force()) == [wait]
