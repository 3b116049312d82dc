"""What a process is asked, without the process."""

from datetime import date

import pytest

from farmops.growing.models import Planting, Variety
from farmops.proving.speed.pages import find_pages
from farmops.proving.speed.worker import Worker, counting
from tests.planning.small_farm import a_place, a_planting, a_variety, moved
from tests.proving.speed.browsers import browsers

pytestmark = pytest.mark.django_db


@pytest.fixture
def worker(phone_client, office_client):
    a_place()
    moved(a_planting(a_variety()).stays.get(), "N-1", 36, date(2026, 3, 30))
    found = Worker()
    found.browsers = browsers(phone_client, office_client)
    found.pages = find_pages(found.browsers, ("due-now", "day-book")).pages
    return found


def test_seconds_of_a_page_and_of_its_likeness(worker):
    assert len(worker.page({"page": "due-now", "before": "after an entry", "times": 3})["seconds"]) == 3
    answer = worker.bare({"page": "due-now", "times": 4})
    assert (len(answer["seconds"]), len(answer["bare"])) == (4, 4)
    assert min(*answer["seconds"], *answer["bare"]) > 0


def test_queries_of_a_page(worker, django_assert_num_queries):
    told = worker.queries({"page": "day-book", "before": ""})["queries"]
    with django_assert_num_queries(told):
        worker.browsers["phone"].get("/day-book/")


def test_records_that_a_working_out_reads_are_those_of_two_years(worker):
    assert worker.history({}) == {"records": 4}  # the planting; the half that went on, before and after; the other half
    a_planting(Variety.objects.get(), "P20-001", sown=date(2020, 3, 9))
    Planting.objects.filter(code="P20-001").update(cleared_on=date(2020, 6, 1))
    assert worker.history({}) == {"records": 4}


def test_statements_are_counted_while_it_lasts(worker):
    with counting() as said:
        assert said == []
        worker.browsers["phone"].get("/day-book/")
        one = len(said)
    worker.browsers["phone"].get("/day-book/")
    assert len(said) == one > 0
