"""Every page in the farm's time: "today" and clock times are those of its place, not of server or phone."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from farmops.farm.days import in_farm_zone


def in_farm_time(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    def ask(request: HttpRequest) -> HttpResponse:
        with in_farm_zone():
            return get_response(request)

    return ask
