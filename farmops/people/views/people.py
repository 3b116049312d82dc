"""The people of the farm: the list, and one person's page."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from farmops import clock
from farmops.people.access import asker_of, with_password
from farmops.people.change_person import add_person, change_person, may_alter, set_works_here
from farmops.people.erase_person import erase_person
from farmops.people.forms import PersonForm
from farmops.people.let_in import Purpose, make_link
from farmops.people.models import Person
from farmops.people.not_let_in import NotLetIn
from farmops.people.views.addresses import full_address
from farmops.people.working import everybody

Said = tuple[str, str]  # what was done, in words, and a link to hand on; either may be empty


@with_password
@require_http_methods(["GET", "POST"])
def people(request: HttpRequest) -> HttpResponse:
    form = PersonForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            added = add_person(**form.cleaned_data, by=asker_of(request).person)
        except NotLetIn as no:
            form.add_error(None, str(no))
        else:
            messages.success(request, _("%(name)s works here now.") % {"name": added.name})
            return HttpResponseRedirect(reverse("people"), status=303)
    context = {"form": form, "people": everybody()}
    return render(request, "people/people.html", context, status=422 if form.errors else 200)


@with_password
@require_http_methods(["GET", "POST"])
def person(request: HttpRequest, number: int) -> HttpResponse:
    one = get_object_or_404(Person, pk=number, erased_at=None)
    form = PersonForm({"name": one.name, "role": one.role} if request.method == "GET" else request.POST)
    deed = DEEDS.get(request.POST.get("do", ""))
    link = ""
    if deed is not None and (deed is not _save or form.is_valid()):
        try:
            said, link = deed(request, one, form)
        except NotLetIn as no:
            one.refresh_from_db()
            form.add_error(None, str(no))
        else:
            if not link:
                messages.success(request, said)
                return HttpResponseRedirect(reverse("people"), status=303)
    context = {"form": form, "one": one, "link": link}
    return render(request, "people/person.html", context, status=422 if form.errors and deed is not None else 200)


def _save(request: HttpRequest, one: Person, form: PersonForm) -> Said:
    change_person(person=one, **form.cleaned_data, by=asker_of(request).person)
    return _("Saved: %(name)s.") % {"name": one.name}, ""


def _leave(request: HttpRequest, one: Person, form: PersonForm) -> Said:
    set_works_here(person=one, works_here=False, by=asker_of(request).person)
    return _("%(name)s is on no list any more. What was recorded stays.") % {"name": one.name}, ""


def _come_back(request: HttpRequest, one: Person, form: PersonForm) -> Said:
    set_works_here(person=one, works_here=True, by=asker_of(request).person)
    return _("%(name)s works here again.") % {"name": one.name}, ""


def _erase(request: HttpRequest, one: Person, form: PersonForm) -> Said:
    may_alter(one, asker_of(request).person)
    erase_person(person=one, now=clock.now())
    return _("Erased: the name is gone for good. What was recorded stays, without it."), ""


def _make_link(request: HttpRequest, one: Person, form: PersonForm) -> Said:
    by = asker_of(request).person
    may_alter(one, by)
    secret = make_link(purpose=Purpose.ACCOUNT, person=one, by=by, now=clock.now())
    return "", full_address(request, reverse("account", args=[secret]))


DEEDS: dict[str, Callable[[HttpRequest, Person, PersonForm], Said]] = {
    "save": _save,
    "leave": _leave,
    "come back": _come_back,
    "erase": _erase,
    "link": _make_link,
}
