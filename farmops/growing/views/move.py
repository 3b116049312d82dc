"""Moving plants: one press where there is room, or a number and a space."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.views.decorators.http import require_http_methods

from farmops import clock
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.chosen_spaces import into_of_text, space_named
from farmops.growing.forms import MoveForm
from farmops.growing.models import Stay
from farmops.growing.move_page import move_page
from farmops.growing.move_plants import move_plants
from farmops.growing.room_for import Into
from farmops.journal.deed import Done


@require_http_methods(["GET", "POST"])
def move(request: HttpRequest, stay: int) -> HttpResponse:
    row = get_object_or_404(Stay.objects.select_related("planting__variety", "space__kind"), pk=stay)
    today = clock.today()
    asked = {name: request.GET.get(name, "") for name in ("plants", "to", "full")}
    if request.method == "POST":
        asked = {"plants": request.POST.get("plants", ""), "to": request.POST.get("to_space", "")}
    typed = request.POST if request.method == "POST" else None
    form = MoveForm(typed, initial={"next": request.GET.get("next", ""), "plants": asked["plants"]})
    return answer_job(
        request,
        form,
        lambda: _moved(request, row, form),
        page="growing/move.html",
        partial="growing/_move.html",
        context={"page": SimpleLazyObject(lambda: move_page(row, asked, today)), "asked": asked},
        then=reverse("space", args=[row.space.name]),
    )


def _moved(request: HttpRequest, stay: Stay, form: MoveForm) -> Done:
    typed = form.cleaned_data
    return move_plants(
        saying=saying_of(request, day=typed["day"]),
        stay=stay,
        into=into_of_text(typed["into"]) or [Into(space_named(typed["to_space"]), form.plants_typed())],
        over_full_because=typed["over_full_because"],
        yes=form.answered,
    )
