"""The list of people: adding, renaming, another role, leaving and coming back. Only a grower alters a grower."""

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from farmops.people.let_in import free_username
from farmops.people.models import Person, Role
from farmops.people.not_let_in import NotLetIn


def add_person(*, name: str, role: str, by: Person | None) -> Person:
    """Somebody new. Raises NotLetIn if the name is taken, or the role not for `by` to give."""
    person = Person(name=name.strip(), role=role)
    may_alter(person, by)
    _save(person)
    return person


def change_person(*, person: Person, name: str, role: str, by: Person | None) -> None:
    """Another name, another role; who signed in is so from now on under the new name.

    Raises
    ------
    NotLetIn
        If the name is taken, it is not for `by` to change, or the last grower with an account would be none any more.
    """
    may_alter(person, by)
    with transaction.atomic():
        if role != Role.GROWER:
            not_the_last_grower(person)
        person.name, person.role = name.strip(), role
        may_alter(person, by)
        _save(person)
        if person.account_id is not None:
            User.objects.filter(pk=person.account_id).update(username=free_username(person))


def set_works_here(*, person: Person, works_here: bool, by: Person | None) -> None:
    """Leave or come back: who left is on no list, and the account lets nobody in.

    Raises
    ------
    NotLetIn
        If it is the last grower with an account, not for `by` to change, or the name was given to another meanwhile.
    """
    may_alter(person, by)
    if person.erased_at is not None:
        raise NotLetIn(_("This person was erased and cannot come back. Add the name anew."))
    with transaction.atomic():
        if not works_here:
            not_the_last_grower(person)
        person.works_here = works_here
        _save(person)
        User.objects.filter(person=person).update(is_active=works_here)


def may_alter(person: Person, by: Person | None) -> None:
    """Raises NotLetIn if a grower is concerned and `by` is none."""
    if person.role == Role.GROWER and (by is None or by.role != Role.GROWER):
        raise NotLetIn(_("Only a grower changes what a grower may do. Ask one."))


def not_the_last_grower(person: Person) -> None:
    """Raises NotLetIn if nobody could let anybody in afterwards. Holds the rows it counts until the end of the work."""
    growers = Person.objects.select_for_update().filter(role=Role.GROWER, works_here=True, account__isnull=False)
    if list(growers.order_by("pk").values_list("pk", flat=True)) == [person.pk]:
        raise NotLetIn(_("This is the last grower with an account. Give another grower one first."))


def _save(person: Person) -> None:
    try:
        person.full_clean()
        with transaction.atomic():
            person.save()
    except ValidationError as error:
        raise NotLetIn(" ".join(error.messages)) from error
    except IntegrityError as error:
        raise NotLetIn(_("Somebody of that name works here already. Add a letter to tell them apart.")) from error
