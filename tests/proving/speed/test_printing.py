"""A pick list on paper, and the PDF library alone."""

import pytest

from farmops.harvest.models import PickLine, PickSheet
from farmops.paper.pdf import pdf_engine
from farmops.proving.speed.printing import caught_page, seconds_of_paper, sheet_of
from tests.planning.small_farm import TODAY, a_place, a_planting, a_variety, moved
from tests.planning.test_due_now import a_sheet
from tests.proving.speed.browsers import browsers

pytestmark = pytest.mark.django_db


@pytest.fixture
def stay():
    a_place()
    return moved(a_planting(a_variety()).stays.get(), "N-1", 36, TODAY)


def test_a_list_is_lengthened_with_its_own_lines(stay):
    a_sheet(1, (stay, 24), (stay, 6))
    sheet = sheet_of(5)
    assert (sheet.version, PickSheet.objects.count()) == (2, 2)
    lines = PickLine.objects.filter(sheet=sheet).order_by("position")
    assert list(lines.values_list("position", "amount")) == [(1, 24), (2, 6), (3, 24), (4, 6), (5, 24)]


def test_there_must_be_a_list(stay):
    with pytest.raises(ValueError, match="no pick list"):
        sheet_of(5)


def test_the_library_alone_makes_what_we_make(phone_client, office_client, stay):
    a_sheet(1, (stay, 24))
    sheet, phone = sheet_of(3), browsers(phone_client, office_client)["phone"]
    with caught_page(pdf_engine()) as given:
        ours = phone.get(f"/pick-list/{sheet.pk}/paper.pdf").body
    ((args, named),) = given
    alone = pdf_engine().HTML(*args, **named).write_pdf()
    assert (ours[:5], len(alone)) == (b"%PDF-", len(ours))
    found = seconds_of_paper(phone, sheet, 2)
    assert [len(found[which]) for which in ("ours", "alone")] == [2, 2]
    assert min(found["alone"]) > 0
