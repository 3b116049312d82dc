"""Who is working: those to choose from on a phone, and the one chosen."""

from django.utils.translation import gettext as _

from farmops.people.models import Person
from farmops.people.not_let_in import NotLetIn


def who_works() -> list[Person]:
    """Everybody who works here, by name, small and capital letters alike."""
    return sorted(Person.objects.working(), key=lambda person: (person.name.casefold(), person.pk))


def everybody() -> list[Person]:
    """Those who work here and those who did, by name; erased ones have none."""
    people = Person.objects.filter(erased_at=None).select_related("account")
    return sorted(people, key=lambda person: (not person.works_here, person.name.casefold(), person.pk))


def choose(key: int) -> Person:
    """The person chosen on a phone.

    Raises
    ------
    NotLetIn
        If nobody of that key works here.
    """
    person = Person.objects.working().filter(pk=key).first()
    if person is None:
        raise NotLetIn(_("That person does not work here any more. Choose again."))
    return person
