"""The page of setting up, and the ways that lead there."""

import pytest
from django.urls import reverse

from tests.pages import rows_of

pytestmark = pytest.mark.django_db


def test_each_part_leads_to_its_page(office_client):
    page = office_client.get(reverse("setting-up"))
    assert len(rows_of(page, "li")) == 6
    for name in ("farm", "spaces", "varieties", "items", "seed-lots", "outlets"):
        assert f'href="{reverse(name)}"' in page.content.decode()
        assert office_client.get(reverse(name)).status_code == 200


@pytest.mark.parametrize("name", ["start", "farm-sheets", "plantings", "winter-plan"])
def test_it_is_reached_from_the_pages_that_need_it(office_client, name):
    assert f'href="{reverse("setting-up")}"' in office_client.get(reverse(name)).content.decode()
