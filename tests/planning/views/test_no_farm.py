"""Pages of a farm that is not there yet: nothing is worked out, and an empty answer is never given as a good one."""

import pytest

from farmops.harvest.models import PickSheet
from farmops.planning.models import StoredAnswer
from tests.pages import text_of

pytestmark = pytest.mark.django_db
WORDS = "farm: There is no farm here yet. Drop its sheets on the page “Sheets”, which gives blank ones too."


@pytest.mark.parametrize("address", ["/pick-list/", "/sowing-list/worked-out/"])
def test_it_says_how_a_farm_begins(phone_client, address):
    assert WORDS in text_of(phone_client.post(address))
    assert (PickSheet.objects.count(), StoredAnswer.objects.count()) == (0, 0)
