"""Setting up schedules: a new version from a day on, perhaps like another variety's, or one put right."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from farmops.farm.days import farm_today
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.models import Schedule, SpaceKind, Variety
from farmops.growing.natural_order import natural_key
from farmops.growing.set_schedule import begin_schedule, put_schedule_right
from farmops.growing.variety_forms import ScheduleForm
from farmops.growing.variety_pages import Version, schedules_to_copy, typed_like, versions_of_variety
from farmops.journal.deed import Done
from farmops.people.access import with_password


@require_http_methods(["GET", "POST"])
@with_password
def new_schedule(request: HttpRequest, number: int) -> HttpResponse:
    variety = get_object_or_404(Variety, pk=number)
    others = schedules_to_copy(farm_today())
    like = _asked(others, request.GET.get("like", ""))
    own = next((one for one in others if one.schedule.variety_id == variety.pk), None)
    form = _form(request, like or own)
    if own is None:
        del form.fields["from_on"]
    return _answer(
        request,
        form,
        lambda: begin_schedule(
            saying=saying_of(request),
            variety=variety,
            stages=form.stages,
            harvest=form.harvest,
            from_on=form.cleaned_data.get("from_on"),
        ),
        variety,
        {"title": _("Schedule of %(name)s") % {"name": variety.name}, "others": others, "like": like},
    )


@require_http_methods(["GET", "POST"])
@with_password
def schedule(request: HttpRequest, number: int) -> HttpResponse:
    row = get_object_or_404(Schedule.objects.select_related("variety"), pk=number)
    versions = versions_of_variety(row.variety, farm_today())
    form = _form(request, next((one for one in versions if one.schedule.pk == row.pk), None))
    del form.fields["from_on"]
    return _answer(
        request,
        form,
        lambda: put_schedule_right(saying=saying_of(request), schedule=row, stages=form.stages, harvest=form.harvest),
        row.variety,
        {"title": _("Put the schedule of %(name)s right") % {"name": row.variety.name}},
    )


def _asked(others: list[Version], key: str) -> Version | None:
    return next((one for one in others if str(one.schedule.pk) == key), None)


def _form(request: HttpRequest, like: Version | None) -> ScheduleForm:
    kinds = sorted(SpaceKind.objects.values_list("name", flat=True), key=natural_key)
    return ScheduleForm(request.POST if request.method == "POST" else None, kinds=kinds, initial=typed_like(like))


def _answer(
    request: HttpRequest, form: ScheduleForm, deed: Callable[[], Done], variety: Variety, context: dict[str, object]
) -> HttpResponse:
    back = reverse("variety", args=[variety.pk])
    return answer_job(
        request,
        form,
        deed,
        page="growing/schedule.html",
        partial="growing/_schedule.html",
        context={"address": request.get_full_path(), "back": back, "variety": variety, **context},
        then=back,
    )
