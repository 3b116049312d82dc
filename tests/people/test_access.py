"""Marks on views, and what the door says to whom."""

import pytest
from django.test import RequestFactory
from django.views.decorators.http import require_GET

from farmops.people.access import (
    Answer,
    Asker,
    Mark,
    asker_of,
    is_here,
    judge,
    let_in,
    mark_of,
    open_to_all,
    open_until_first_account,
    with_password,
)
from farmops.people.let_in import make_account, make_link
from farmops.people.models import Person, Phone, Role
from tests.conftest import NOW

YES, SIGN_IN, CHOOSE, NOT_YOURS, NONE_YET = Answer
PHONE = Phone(called="Shed")


def asker(role=None, phone=None, has_password=False, is_here=True):
    return Asker(Person(name="Ines", role=role) if role else None, phone, has_password, is_here)


def unmarked(request):
    """Nobody thought about this one."""


@open_until_first_account
def notebook(request):
    """As the notebook's pages."""


open_view = open_to_all(lambda request: None)
phone_view = let_in(lambda request: None)
money_view = with_password(lambda request: None)
notebook_view = with_password(notebook)

ASKERS = [
    asker(),
    asker(phone=PHONE),
    asker(Role.CREW, PHONE),
    asker(Role.GROWER, PHONE),
    asker(Role.CREW, has_password=True),
    asker(Role.OFFICE, has_password=True),
    asker(Role.GROWER, PHONE, has_password=True),
]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("view", "answers"),
    [
        (open_view, [YES] * 7),
        (phone_view, [SIGN_IN, YES, YES, YES, YES, YES, YES]),
        (unmarked, [SIGN_IN, CHOOSE, YES, YES, YES, YES, YES]),
        (money_view, [SIGN_IN, SIGN_IN, SIGN_IN, SIGN_IN, NOT_YOURS, YES, YES]),
        (notebook_view, [SIGN_IN, SIGN_IN, SIGN_IN, SIGN_IN, NOT_YOURS, YES, YES]),
    ],
    ids=["open", "phone", "no mark", "money", "notebook"],
)
def test_once_there_is_an_account_each_mark_lets_in_whom_it_says(view, answers):
    otto = Person.objects.create(name="Otto", role=Role.GROWER)
    make_account(secret=make_link(purpose="account", person=otto, now=NOW), password="wet-gloves-at-dawn", now=NOW)
    assert [judge(view, one) for one in ASKERS] == answers


@pytest.mark.django_db
def test_before_the_first_account_the_notebook_alone_is_open_and_on_this_computer_alone():
    views = (open_view, phone_view, unmarked, money_view, notebook_view)
    assert [judge(view, asker()) for view in views] == [YES, NONE_YET, NONE_YET, NONE_YET, YES]
    assert judge(notebook_view, asker(is_here=False)) == NONE_YET


def test_somebody_who_is_let_in_costs_no_query(django_assert_num_queries, db):
    with django_assert_num_queries(0):
        assert judge(unmarked, asker(Role.CREW, PHONE)) == YES
        assert judge(money_view, asker(Role.OFFICE, has_password=True)) == YES


def test_marks_outlast_decorators_that_wrap():
    @require_GET
    @with_password
    def inside(request):
        """The mark is nearer."""

    assert (mark_of(inside), mark_of(unmarked)) == (Mark.OFFICE, Mark.WORKING)


@pytest.mark.parametrize(
    ("address", "here"),
    [("127.0.0.1", True), ("::1", True), ("::ffff:127.0.0.1", True), ("192.168.1.20", False), ("", False)],
)
def test_this_computer_is_known_by_its_loopback_address(address, here):
    assert is_here(RequestFactory().get("/", REMOTE_ADDR=address)) is here


@pytest.mark.parametrize("header", ["HTTP_X_FORWARDED_FOR", "HTTP_FORWARDED"])
def test_what_is_passed_on_for_others_is_not_from_this_computer(header):
    assert is_here(RequestFactory().get("/", REMOTE_ADDR="127.0.0.1", **{header: "192.168.1.20"})) is False


def test_a_request_that_no_middleware_saw_is_nobodys():
    assert asker_of(RequestFactory().get("/")) == Asker(None, None, False, True)
