"""The phones let in: a link for one more, the list, and stopping one."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from farmops import clock
from farmops.people.access import asker_of, with_password
from farmops.people.let_in import Purpose, make_link, stop_phone
from farmops.people.models import Phone
from farmops.people.views.addresses import full_address


@with_password
@require_http_methods(["GET", "POST"])
def phones(request: HttpRequest) -> HttpResponse:
    link = ""
    if request.method == "POST":
        secret = make_link(purpose=Purpose.PHONE, by=asker_of(request).person, now=clock.now())
        link = full_address(request, reverse("phone-in", args=[secret]))
    today = clock.today()
    context = {
        "link": link,
        "are_reached": bool(settings.PHONES_AT),
        "phones": Phone.objects.let_in(today).select_related("let_in_by").order_by("-pk"),
        "over": Phone.objects.over(today).select_related("let_in_by").order_by("-pk")[:50],
    }
    return render(request, "people/phones.html", context)


@with_password
@require_POST
def stop(request: HttpRequest, number: int) -> HttpResponse:
    phone = get_object_or_404(Phone, pk=number)
    stop_phone(phone=phone, now=clock.now())
    messages.success(request, _("%(phone)s is let in no more.") % {"phone": phone.called})
    return HttpResponseRedirect(reverse("phones"), status=303)
