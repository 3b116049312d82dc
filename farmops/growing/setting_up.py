"""What a farm is set up with: each part, how much of it there is, and the page where it is set."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.farm.days import the_farm
from farmops.farm.typed_figures import latitude_text
from farmops.growing.models import Item, SeedLot, Space, Variety


@dataclass(frozen=True, slots=True)
class Part:
    """One part; `there` says what there is of it, and is empty while there is nothing."""

    name: str
    what: str
    there: str
    address: str
    action: str


def parts_of_farm() -> Sequence[Part]:
    """In the order in which they need each other. One query each."""
    farm = the_farm()
    spaces = Space.objects.filter(spells__isnull=False).distinct().count()
    varieties = Variety.objects.count()
    items = Item.objects.count()
    lots = SeedLot.objects.count()
    return (
        Part(
            _("The farm"),
            _("its name, where it lies, its days"),
            f"{farm.name}, {latitude_text(farm.latitude)}" if farm else "",
            reverse("farm"),
            _("Change") if farm else _("Begin"),
        ),
        Part(
            _("Spaces"),
            _("shelves, channels, benches, beds, and how many places each has"),
            ngettext("%(n)d space", "%(n)d spaces", spaces) % {"n": spaces} if spaces else "",
            reverse("spaces"),
            _("Open"),
        ),
        Part(
            _("Varieties"),
            _("what is grown, by which stages and days, and how it is harvested"),
            ngettext("%(n)d variety", "%(n)d varieties", varieties) % {"n": varieties} if varieties else "",
            reverse("varieties"),
            _("Open"),
        ),
        Part(
            _("Items"),
            _("what is sold, what it contains, which varieties it is made of"),
            ngettext("%(n)d item", "%(n)d items", items) % {"n": items} if items else "",
            reverse("items"),
            _("Open"),
        ),
        Part(
            _("Seed"),
            _("lots in hand, from whom, how much of them comes up"),
            ngettext("%(n)d lot", "%(n)d lots", lots) % {"n": lots} if lots else "",
            reverse("seed-lots"),
            _("Open"),
        ),
        Part(
            _("Outlets and prices"),
            _("where it is sold, when, and for how much"),
            "",
            reverse("outlets"),
            _("Open"),
        ),
    )
