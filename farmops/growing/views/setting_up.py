"""Setting up: what the farm is, grows and sells, one line for each with the page where it is set."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from farmops.growing.setting_up import parts_of_farm
from farmops.people.access import with_password
from farmops.web.pages import render_page


@require_GET
@with_password
def setting_up(request: HttpRequest) -> HttpResponse:
    context = {"parts": parts_of_farm()}
    return render_page(request, "growing/setting_up.html", context, partial="growing/_setting_up.html")
