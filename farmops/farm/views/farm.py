"""The farm itself: begun, or changed."""

from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from farmops.farm.days import farm_zone, the_farm
from farmops.farm.models import Farm
from farmops.farm.set_farm import set_farm, typed_of
from farmops.farm.set_forms import FarmForm, time_zones
from farmops.farm.views.job_page import saying_of
from farmops.farm.views.set_page import answer_set
from farmops.people.access import with_password

NO_PLACE = {"UTC", "Etc/UTC"}  # of a computer that nobody told where it stands


@require_http_methods(["GET", "POST"])
@with_password
def farm(request: HttpRequest) -> HttpResponse:
    there = the_farm()
    known = typed_of(there or Farm(time_zone=farm_zone().key, latitude=Decimal(0)))
    if there is None:
        known |= {"latitude": "", "time_zone": "" if farm_zone().key in NO_PLACE else farm_zone().key}
    form = FarmForm(request.POST if request.method == "POST" else None, initial=known)
    return answer_set(
        request,
        form,
        lambda: set_farm(saying=saying_of(request), yes=form.answered, **form.facts),
        title=_("The farm") if there else _("Begin your farm"),
        button=_("Save"),
        back=reverse("setting-up"),
        context={"time_zones": time_zones()},
    )
