"""Links that work once, and what they let in."""

import threading
from datetime import UTC, date, datetime, timedelta

import pytest
from django.contrib.auth import authenticate
from django.db import IntegrityError, connection, transaction

from farmops.people.let_in import let_phone_in, make_account, make_first_account, make_link, stop_phone
from farmops.people.models import Invitation, Person, Phone
from farmops.people.not_let_in import NotLetIn
from farmops.people.tokens import hash_of

NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
TODAY = date(2026, 5, 4)
OVER = "This link was used, or its time is over. Ask for a new one."
PASSWORD = "wet-gloves-at-dawn"


def first(secret, name="Ines", password=PASSWORD, now=NOW):
    return make_first_account(secret=secret, name=name, password=password, now=now)


def phone_in(secret, called="Shed phone", until_on=date(2026, 10, 31), now=NOW):
    return let_phone_in(secret=secret, called=called, until_on=until_on, today=TODAY, now=now)


@pytest.mark.django_db
def test_the_first_account_is_a_growers_and_its_password_is_stored_as_a_hash():
    person = first(make_link(purpose="first account", now=NOW), name=" Ines ")
    assert (person.name, person.role, person.account.username) == ("Ines", "grower", "Ines")
    assert authenticate(username="Ines", password=PASSWORD) == person.account
    assert PASSWORD not in person.account.password


@pytest.mark.django_db
def test_only_the_hash_of_a_link_and_of_a_phone_is_stored():
    secret = make_link(purpose="phone", now=NOW)
    phone, phone_secret = phone_in(secret)
    assert Invitation.objects.get().token_hash == hash_of(secret) != secret
    assert Phone.objects.get().token_hash == hash_of(phone_secret) != phone_secret
    assert (phone.called, phone.until_on) == ("Shed phone", date(2026, 10, 31))


@pytest.mark.django_db
def test_a_link_works_once():
    secret = make_link(purpose="phone", now=NOW)
    phone_in(secret)
    with pytest.raises(NotLetIn) as no:
        phone_in(secret)
    assert (str(no.value), Phone.objects.count()) == (OVER, 1)


@pytest.mark.django_db
def test_a_link_works_until_its_hour_is_over():
    secret = make_link(purpose="phone", now=NOW)
    with pytest.raises(NotLetIn) as no:
        phone_in(secret, now=NOW + timedelta(hours=1))
    assert (str(no.value), Phone.objects.count()) == (OVER, 0)
    phone_in(secret, now=NOW + timedelta(seconds=3599))
    assert Phone.objects.count() == 1


@pytest.mark.django_db
def test_a_link_serves_its_purpose_alone():
    secret = make_link(purpose="phone", now=NOW)
    with pytest.raises(NotLetIn) as no:
        first(secret)
    assert (str(no.value), Person.objects.count(), Invitation.objects.get().used_at) == (OVER, 0, None)


@pytest.mark.django_db
def test_a_password_that_will_not_do_leaves_the_link_open():
    secret = make_link(purpose="first account", now=NOW)
    with pytest.raises(NotLetIn):
        first(secret, password="12345")
    assert (Person.objects.count(), Invitation.objects.get().used_at) == (0, None)
    assert first(secret).name == "Ines"


@pytest.mark.django_db
def test_a_second_first_link_makes_no_second_account():
    one, two = make_link(purpose="first account", now=NOW), make_link(purpose="first account", now=NOW)
    first(one)
    with pytest.raises(NotLetIn) as no:
        first(two, name="Otto")
    assert str(no.value) == "This farm has an account already. Ask the grower for a link."
    assert Person.objects.count() == 1


@pytest.mark.django_db
def test_a_persons_link_gives_the_account_and_later_a_new_password():
    otto = Person.objects.create(name="Otto")
    make_account(secret=make_link(purpose="account", person=otto, now=NOW), password=PASSWORD, now=NOW)
    otto.refresh_from_db()
    account = otto.account
    make_account(secret=make_link(purpose="account", person=otto, now=NOW), password="other-gloves-9", now=NOW)
    assert authenticate(username="Otto", password=PASSWORD) is None
    assert authenticate(username="Otto", password="other-gloves-9") == account


@pytest.mark.django_db
def test_a_link_for_an_account_says_whose():
    with pytest.raises(NotLetIn, match=r"^Choose whose account the link is for\.$"):
        make_link(purpose="account", now=NOW)


@pytest.mark.django_db
def test_who_left_gets_no_account_by_an_old_link():
    otto = Person.objects.create(name="Otto", works_here=False)
    secret = make_link(purpose="account", person=otto, now=NOW)
    with pytest.raises(NotLetIn, match=r"^The person this link was made for does not work here any more\.$"):
        make_account(secret=secret, password=PASSWORD, now=NOW)


@pytest.mark.django_db
@pytest.mark.parametrize("facts", [{"called": " "}, {"until_on": date(2026, 5, 3)}], ids=["no name", "past"])
def test_a_phone_needs_a_name_and_a_day_to_come(facts):
    secret = make_link(purpose="phone", now=NOW)
    with pytest.raises(NotLetIn):
        phone_in(secret, **facts)
    assert (Phone.objects.count(), Invitation.objects.get().used_at) == (0, None)


@pytest.mark.django_db
def test_a_stopped_phone_keeps_its_first_hour():
    phone, _ = phone_in(make_link(purpose="phone", now=NOW))
    stop_phone(phone=phone, now=NOW)
    stop_phone(phone=phone, now=NOW + timedelta(hours=1))
    assert Phone.objects.get().stopped_at == NOW
    assert list(Phone.objects.let_in(TODAY)) == []


@pytest.mark.django_db(transaction=True)
def test_of_eight_at_once_with_one_link_one_gets_in():
    secret = make_link(purpose="phone", now=NOW)
    gate, said = threading.Barrier(8), []

    def use():
        try:
            gate.wait()
            phone_in(secret)
            said.append("in")
        except NotLetIn as no:
            said.append(str(no))
        finally:
            connection.close()

    threads = [threading.Thread(target=use) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(said) == sorted(["in", *[OVER] * 7])
    assert Phone.objects.count() == 1


@pytest.mark.django_db
@pytest.mark.parametrize(
    "rows",
    [
        [Person(name="")],
        [Person(name="Otto"), Person(name="OTTO")],
        [Phone(token_hash="a", called="", let_in_at=NOW, until_on=TODAY)],
        [Phone(token_hash="a", called=name, let_in_at=NOW, until_on=TODAY) for name in "xy"],
        [Invitation(token_hash="a", purpose="phone", made_at=NOW, ends_at=NOW)],
        [Invitation(token_hash="a", purpose="phone", made_at=NOW, ends_at=NOW + timedelta(1)) for _ in "xy"],
    ],
    ids=["person without name", "name twice", "phone without name", "phone twice", "link over at once", "link twice"],
)
def test_the_database_holds_the_rules(rows):
    with pytest.raises(IntegrityError), transaction.atomic():
        type(rows[0]).objects.bulk_create(rows)
