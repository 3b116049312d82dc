"""Lifting a wait."""

import pytest

from farmops.journal.refusal import Refused
from farmops.waiting.do_not_cut import do_not_cut
from farmops.waiting.lift_wait import lift_wait
from farmops.waiting.models import DoNotCut, Lifted
from tests.growing.beds import a_planting, saying

pytestmark = pytest.mark.django_db


@pytest.fixture
def wait():
    do_not_cut(saying=saying("wait"), planting=a_planting(), reason="mildew looked at")
    return DoNotCut.objects.get()


def test_it_says_who_may_be_cut_again_and_why_it_waited(wait):
    done = lift_wait(saying=saying("lift"), wait=wait, reason=" it was dust ")
    assert done.entry.said == (
        "P-1 green butterhead may be cut again: it was dust (it waited because: mildew looked at)"
    )
    assert (Lifted.objects.get().reason, list(DoNotCut.objects.in_force())) == ("it was dust", [])


def test_it_needs_a_reason(wait):
    with pytest.raises(Refused, match=r"^Say why it may be cut after all\.$"):
        lift_wait(saying=saying("lift"), wait=wait, reason=" ")
    assert Lifted.objects.count() == 0


def test_it_is_lifted_once(wait):
    lift_wait(saying=saying("lift"), wait=wait, reason="dust")
    with pytest.raises(Refused, match=r"^That wait is lifted already\.$"):
        lift_wait(saying=saying("again"), wait=wait, reason="dust")
