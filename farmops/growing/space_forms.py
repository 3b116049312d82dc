"""Forms that set up spaces. They never write."""

from django.utils.translation import gettext_lazy as _

from farmops.farm import set_forms
from farmops.farm.forms import JobForm


class SpacesForm(JobForm):
    """Spaces of one kind."""

    kind = set_forms.words(
        _("Kind of space"), 60, _("e.g. seedling shelf, nursery channel, finishing channel, bed"), suggested="kinds"
    )
    names = set_forms.words(_("Their names or numbers"), 300, _("F-01 to F-20; or one; or several with commas between"))
    places = set_forms.figure(
        _("Places in each"), _("a place is a hole of a channel, a tray on a shelf, a foot of a bed"), whole=True
    )
    from_on = set_forms.day(_("In use from"), _("empty = it always was"))


class PlacesForm(JobForm):
    """Another number of places from a day on."""

    places = set_forms.figure(_("Places"), whole=True)
    from_on = set_forms.day(_("From"), _("empty = today; days before keep what they had"))


class CloseSpaceForm(JobForm):
    """Out of use from a day on."""

    from_on = set_forms.day(_("From"), _("the first day it is not used; empty = today"))
