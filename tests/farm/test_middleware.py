"""Pages in the farm's time."""

from django.http import HttpResponse

from farmops import clock
from farmops.farm.middleware import in_farm_time
from farmops.farm.models import Farm


def test_a_page_counts_days_by_the_farms_zone_and_not_the_servers(rf, db):
    Farm.objects.create(name="Far", latitude=-40, time_zone="Pacific/Auckland")
    seen = []

    def view(request):
        seen.append(clock.today().isoformat())
        return HttpResponse()

    in_farm_time(view)(rf.get("/"))
    assert seen == ["2026-05-05"]
