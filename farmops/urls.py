"""Where each room's screens hang."""

from django.urls import URLPattern, URLResolver, include, path, register_converter
from django.urls.converters import get_converters

from farmops.exchange.views import farm_sheets, front, look_back, notebook, sowing, start
from farmops.web.addresses import NameInAddress

if "name" not in get_converters():  # before the rooms' addresses, which use it; once, though an import may be repeated
    register_converter(NameInAddress, "name")

urlpatterns: list[URLPattern | URLResolver] = [
    path("", front.front, name="due-now"),
    path("", include("farmops.people.urls")),
    path("", include("farmops.farm.urls")),
    path("", include("farmops.growing.urls")),
    path("", include("farmops.waiting.urls")),
    path("", include("farmops.selling.urls")),
    path("", include("farmops.harvest.urls")),
    path("", include("farmops.planning.urls")),
    path("", include("farmops.paper.urls")),
    path("look-back/", look_back.page, name="look-back"),
    path("look-back/worked-out/", look_back.worked_out, name="look-back-worked-out"),
    path("look-back/days/", look_back.days, name="look-back-days"),
    path("look-back/paper/", look_back.paper, {"kind": "page"}, name="look-back-paper"),
    path("look-back/paper.pdf", look_back.paper, {"kind": "pdf"}, name="look-back-pdf"),
    path("notebooks/", start.notebooks, name="notebooks"),
    path("notebooks/", start.notebooks, name="start"),
    path("notebooks/demo/", start.demo, name="notebook-demo"),
    path("notebooks/<slug:key>/", notebook.notebook, name="notebook"),
    path("notebooks/<slug:key>/kept/", notebook.kept, name="notebook-kept"),
    path("notebooks/<slug:key>/paper/", notebook.paper, {"kind": "page"}, name="notebook-paper"),
    path("notebooks/<slug:key>/paper.pdf", notebook.paper, {"kind": "pdf"}, name="notebook-pdf"),
    path("sheets/", farm_sheets.farm_sheets, name="farm-sheets"),
    path("sheets/all.zip", farm_sheets.all_sheets, name="all-sheets"),
    path("sheets/<slug:key>/", farm_sheets.dropped_sheets, name="dropped-sheets"),
    path("readings/<int:number>/take-back/", farm_sheets.take_back_reading, name="take-back-reading"),
    path("sowings/", sowing.sowings, name="sowings"),
    path("sowings/demo/", sowing.demo, name="sowing-demo"),
    path("sowings/blank-sheets.zip", sowing.blank, name="blank-sheets"),
    path("sowings/<slug:key>/", sowing.sowing, name="sowing"),
]
