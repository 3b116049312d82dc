"""Who is working."""

import pytest

from farmops.people.models import Person
from farmops.people.not_let_in import NotLetIn
from farmops.people.working import choose, who_works


@pytest.mark.django_db
def test_those_who_work_here_stand_by_name():
    for name, works in (("otto", True), ("Ines", True), ("Zoe", False), ("Pia", True)):
        Person.objects.create(name=name, works_here=works)
    assert [person.name for person in who_works()] == ["Ines", "otto", "Pia"]


@pytest.mark.django_db
def test_who_left_cannot_be_chosen():
    ines, zoe = Person.objects.create(name="Ines"), Person.objects.create(name="Zoe", works_here=False)
    assert choose(ines.pk) == ines
    with pytest.raises(NotLetIn, match=r"^That person does not work here any more\. Choose again\.$"):
        choose(zoe.pk)
