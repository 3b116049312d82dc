"""Signing in, and how often a wrong password may be tried."""

import threading
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection

from farmops.people.check_password import TooOften, check_password
from farmops.people.let_in import make_account, make_link
from farmops.people.models import Person, WrongPassword
from farmops.people.not_let_in import NotLetIn

NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
PASSWORD = "wet-gloves-at-dawn"
WRONG = "Name and password do not fit together. Look at both and try again."
HERE, THERE = "192.168.1.20", "192.168.1.21"


@pytest.fixture
def otto(db):
    person = Person.objects.create(name="Otto Größe")
    make_account(secret=make_link(purpose="account", person=person, now=NOW), password=PASSWORD, now=NOW)
    return Person.objects.get()


def said(name="Otto Größe", password=PASSWORD, address=HERE, now=NOW):
    try:
        return check_password(name=name, password=password, address=address, now=now).name
    except NotLetIn as no:
        return str(no)


@pytest.mark.usefixtures("otto")
def test_small_and_capital_letters_and_blanks_of_the_name_do_not_matter():
    assert [said(name) for name in ("Otto Größe", " otto größe ", "OTTO GRÖSSE")] == ["Otto Größe"] * 3
    assert said(password=PASSWORD.upper()) == WRONG


def test_the_same_words_for_an_unknown_name_a_wrong_password_and_somebody_who_left(otto):
    assert (said("Nobody"), said(password="x")) == (WRONG, WRONG)
    Person.objects.filter(pk=otto.pk).update(works_here=False)
    assert said() == WRONG


@pytest.mark.usefixtures("otto")
def test_after_five_wrong_ones_the_right_one_waits_too_but_not_on_another_phone():
    assert [said(password=str(number)) for number in range(5)] == [WRONG] * 5
    assert said() == "Too many wrong passwords. Wait 10 minutes, then try again."
    assert said(now=NOW + timedelta(minutes=8, seconds=30)) == (
        "Too many wrong passwords. Wait 2 minutes, then try again."
    )
    assert said(address=THERE) == "Otto Größe"
    assert said(now=NOW + timedelta(minutes=10)) == "Otto Größe"
    assert WrongPassword.objects.count() == 0


@pytest.mark.usefixtures("otto")
def test_the_right_one_wipes_the_slate():
    for _ in range(3):
        assert [said(password=str(number)) for number in range(4)] == [WRONG] * 4
        assert said() == "Otto Größe"
    assert WrongPassword.objects.count() == 0


@pytest.mark.usefixtures("otto")
def test_one_address_trying_many_names_is_stopped_too():
    assert [said(f"name {number}") for number in range(20)] == [WRONG] * 20
    with pytest.raises(TooOften):
        check_password(name="Otto Größe", password=PASSWORD, address=HERE, now=NOW)


@pytest.mark.usefixtures("otto")
def test_neither_name_nor_address_can_be_read_from_what_is_stored():
    said(password="x")
    row = WrongPassword.objects.get()
    assert [len(row.name_hash), len(row.from_hash)] == [64, 64]
    assert "otto" not in f"{row.name_hash}{row.from_hash}"


@pytest.mark.django_db(transaction=True)
def test_of_twenty_at_once_no_more_than_five_are_looked_at():
    person = Person.objects.create(name="Otto")
    make_account(secret=make_link(purpose="account", person=person, now=NOW), password=PASSWORD, now=NOW)
    gate, answers = threading.Barrier(20), []

    def try_it(number):
        try:
            gate.wait()
            answers.append(said("Otto", str(number)))
        finally:
            connection.close()

    threads = [threading.Thread(target=try_it, args=(number,)) for number in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(answers) == 20
    assert answers.count(WRONG) <= 5
