"""The list of people."""

import pytest
from django.contrib.auth import authenticate

from farmops.people.change_person import add_person, change_person, set_works_here
from farmops.people.check_password import check_password
from farmops.people.let_in import make_account, make_link
from farmops.people.models import Person, Role
from farmops.people.not_let_in import NotLetIn
from tests.conftest import NOW

PASSWORD = "wet-gloves-at-dawn"
GROWERS_ONLY = "Only a grower changes what a grower may do. Ask one."
LAST = "This is the last grower with an account. Give another grower one first."


def with_account(name, role=Role.CREW):
    person = Person.objects.create(name=name, role=role)
    make_account(secret=make_link(purpose="account", person=person, now=NOW), password=PASSWORD, now=NOW)
    return Person.objects.get(pk=person.pk)


@pytest.fixture
def grower(db):
    return with_account("Odile", Role.GROWER)


def test_a_name_is_taken_only_once_among_those_who_work_here(grower):
    otto = add_person(name=" Otto ", role=Role.CREW, by=grower)
    assert (otto.name, otto.works_here, otto.account) == ("Otto", True, None)
    with pytest.raises(NotLetIn, match=r"^Somebody of that name works here already\."):
        add_person(name="OTTO", role=Role.CREW, by=grower)
    set_works_here(person=otto, works_here=False, by=grower)
    add_person(name="Otto", role=Role.CREW, by=grower)
    with pytest.raises(NotLetIn, match=r"^Somebody of that name works here already\."):
        set_works_here(person=otto, works_here=True, by=grower)


def test_who_left_is_not_let_in_and_who_comes_back_is(grower):
    otto = with_account("Otto")
    set_works_here(person=otto, works_here=False, by=grower)
    assert authenticate(username="Otto", password=PASSWORD) is None
    set_works_here(person=otto, works_here=True, by=grower)
    assert authenticate(username="Otto", password=PASSWORD) == otto.account


def test_one_signs_in_by_the_new_name(grower):
    otto = with_account("Otto")
    change_person(person=otto, name="Otto B.", role=Role.SELLER, by=grower)
    assert check_password(name="otto b.", password=PASSWORD, address="", now=NOW) == otto
    assert (Person.objects.get(pk=otto.pk).role, otto.account_id is None) == ("seller", False)


def test_a_second_bearer_of_a_name_gets_an_account_too(grower):
    first = with_account("Otto")
    set_works_here(person=first, works_here=False, by=grower)
    second = with_account("Otto")
    assert check_password(name="Otto", password=PASSWORD, address="", now=NOW) == second


def test_only_a_grower_alters_or_makes_a_grower(grower):
    office = with_account("Pia", Role.OFFICE)
    otto = add_person(name="Otto", role=Role.CREW, by=office)
    with_account("Zoe", Role.GROWER)
    for deed in (
        lambda: add_person(name="Kim", role=Role.GROWER, by=office),
        lambda: change_person(person=otto, name="Otto", role=Role.GROWER, by=office),
        lambda: change_person(person=grower, name="Odile", role=Role.CREW, by=office),
        lambda: set_works_here(person=grower, works_here=False, by=office),
        lambda: add_person(name="Kim", role=Role.GROWER, by=None),
    ):
        with pytest.raises(NotLetIn) as no:
            deed()
        assert str(no.value) == GROWERS_ONLY
    assert sorted(Person.objects.filter(role=Role.GROWER).values_list("name", flat=True)) == ["Odile", "Zoe"]


def test_the_last_grower_with_an_account_stays_one(grower):
    for deed in (
        lambda: change_person(person=grower, name="Odile", role=Role.OFFICE, by=grower),
        lambda: set_works_here(person=grower, works_here=False, by=grower),
    ):
        with pytest.raises(NotLetIn) as no:
            deed()
        assert str(no.value) == LAST
        grower.refresh_from_db()
    assert (grower.role, grower.works_here, grower.account.is_active) == ("grower", True, True)
    with_account("Zoe", Role.GROWER)
    change_person(person=grower, name="Odile", role=Role.OFFICE, by=grower)
    assert Person.objects.get(pk=grower.pk).role == "office"
