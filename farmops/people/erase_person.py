"""Erasing a person: the name and the account's data go, what they recorded stays."""

from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction

from farmops.people.change_person import not_the_last_grower
from farmops.people.models import Invitation, Person


def erase_person(*, person: Person, now: datetime) -> None:
    """Empty the name for good; the account lets nobody in and open links of theirs are over.

    Raises
    ------
    NotLetIn
        If it is the last grower with an account: nobody could let anybody in afterwards.
    """
    with transaction.atomic():
        not_the_last_grower(person)
        Person.objects.filter(pk=person.pk).update(name="", works_here=False, erased_at=now)
        Invitation.objects.open_at(now).filter(person=person).update(used_at=now)
        account = User.objects.filter(person=person).first()
        if account is not None:
            account.username, account.first_name, account.last_name, account.email = f"erased-{account.pk}", "", "", ""
            account.is_active = False
            account.set_unusable_password()
            account.save()
    person.refresh_from_db()
