"""Erasing a person."""

from datetime import UTC, date, datetime

import pytest
from django.contrib.auth import authenticate

from farmops.journal.deed import Saying, do_once
from farmops.journal.models import Entry, Job
from farmops.people.erase_person import erase_person
from farmops.people.let_in import make_account, make_first_account, make_link
from farmops.people.models import Invitation, Person
from farmops.people.not_let_in import NotLetIn

NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
PASSWORD = "wet-gloves-at-dawn"


@pytest.mark.django_db
def test_the_name_goes_and_the_entries_stay():
    otto = Person.objects.create(name="Otto")
    make_account(secret=make_link(purpose="account", person=otto, now=NOW), password=PASSWORD, now=NOW)
    make_link(purpose="account", person=otto, now=NOW)
    saying = Saying(key="k", body={}, day=date(2026, 5, 4), said_at=NOW, now=NOW, by=otto)
    entry = do_once(saying, Job.SET, lambda entry: ("Set", {})).entry
    erase_person(person=otto, now=NOW)
    assert (otto.name, otto.works_here, otto.erased_at, str(otto)) == ("", False, NOW, "erased")
    assert (Entry.objects.get(), Entry.objects.get().by) == (entry, otto)
    assert (otto.account.username, otto.account.is_active) == (f"erased-{otto.account.pk}", False)
    assert authenticate(username="Otto", password=PASSWORD) is None
    assert list(Invitation.objects.open_at(NOW)) == []


@pytest.mark.django_db
def test_the_last_grower_with_an_account_stays():
    link = make_link(purpose="first account", now=NOW)
    ines = make_first_account(secret=link, name="Ines", password=PASSWORD, now=NOW)
    with pytest.raises(NotLetIn, match=r"^This is the last grower with an account\."):
        erase_person(person=ines, now=NOW)
    assert Person.objects.get().name == "Ines"
