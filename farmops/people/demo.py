"""The invented farm's grower, as whom everybody acts who opens the demo on this computer."""

from django.db import IntegrityError, transaction

from farmops.people.models import Person, Role

NAME = "Odile"


def demo_grower() -> Person:
    """The first grower of the invented farm; made where there is none."""
    growers = Person.objects.working().filter(role=Role.GROWER)
    found = growers.order_by("pk").first()
    if found is not None:
        return found
    try:
        with transaction.atomic():
            return Person.objects.create(name=NAME, role=Role.GROWER)
    except IntegrityError:  # two pages at once made her, or somebody else bears the name
        return growers.order_by("pk").first() or Person.objects.create(name=f"{NAME} 2", role=Role.GROWER)
