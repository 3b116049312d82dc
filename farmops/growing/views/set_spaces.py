"""Setting up spaces: new ones, other places from a day on, out of use."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from farmops.farm.views.job_page import saying_of
from farmops.farm.views.set_page import answer_set
from farmops.growing.models import Space, SpaceKind
from farmops.growing.natural_order import natural_key
from farmops.growing.set_spaces import add_spaces, close_space, set_places
from farmops.growing.space_forms import CloseSpaceForm, PlacesForm, SpacesForm
from farmops.people.access import with_password


@require_http_methods(["GET", "POST"])
@with_password
def new_spaces(request: HttpRequest) -> HttpResponse:
    asked = {"kind": request.GET.get("kind", "")}
    form = SpacesForm(request.POST if request.method == "POST" else None, initial=asked)
    kinds = sorted(SpaceKind.objects.values_list("name", flat=True), key=natural_key)
    names = ("kind", "names", "places", "from_on")
    return answer_set(
        request,
        form,
        lambda: add_spaces(saying=saying_of(request), **{name: form.cleaned_data[name] for name in names}),
        title=_("New spaces"),
        button=_("Add them"),
        back=reverse("spaces"),
        context={"suggested": [{"id": "kinds", "names": kinds}]},
    )


@require_http_methods(["GET", "POST"])
@with_password
def places(request: HttpRequest, name: str) -> HttpResponse:
    space = _space(name)
    form = PlacesForm(request.POST if request.method == "POST" else None)

    return answer_set(
        request,
        form,
        lambda: set_places(
            saying=saying_of(request),
            space=space,
            places=form.cleaned_data["places"],
            from_on=form.cleaned_data["from_on"],
            yes=form.answered,
        ),
        title=_("Places of %(name)s") % {"name": space.name},
        button=_("Save"),
        back=reverse("space", args=[space.name]),
    )


@require_http_methods(["GET", "POST"])
@with_password
def close(request: HttpRequest, name: str) -> HttpResponse:
    space = _space(name)
    form = CloseSpaceForm(request.POST if request.method == "POST" else None)
    return answer_set(
        request,
        form,
        lambda: close_space(
            saying=saying_of(request), space=space, from_on=form.cleaned_data["from_on"], yes=form.answered
        ),
        title=_("%(name)s out of use") % {"name": space.name},
        button=_("Close it"),
        back=reverse("space", args=[space.name]),
    )


def _space(name: str) -> Space:
    return get_object_or_404(Space.objects.select_related("kind"), name__iexact=name)
