"""Addresses of papers."""

from django.urls import path

from farmops.paper.views import pick_sheet, sowing_list, winter

urlpatterns = [
    path("pick-list/<int:number>/printed/", pick_sheet.printed, name="pick-sheet-printed"),
    path("pick-list/<int:number>/paper/", pick_sheet.paper, {"kind": "page"}, name="pick-sheet-paper"),
    path("pick-list/<int:number>/paper.pdf", pick_sheet.paper, {"kind": "pdf"}, name="pick-sheet-pdf"),
    path("pick-list/<int:number>/changes/<int:since>/paper.pdf", pick_sheet.changes, name="pick-sheet-changes"),
    path("sowing-list/paper/", sowing_list.paper, {"kind": "page"}, name="sowing-list-paper"),
    path("sowing-list/paper.pdf", sowing_list.paper, {"kind": "pdf"}, name="sowing-list-pdf"),
    path(
        "winter-plan/<int:year>/wall/paper/", winter.paper, {"sheet": "wall", "kind": "page"}, name="winter-wall-paper"
    ),
    path(
        "winter-plan/<int:year>/wall/paper.pdf", winter.paper, {"sheet": "wall", "kind": "pdf"}, name="winter-wall-pdf"
    ),
    path(
        "winter-plan/<int:year>/bench/paper/",
        winter.paper,
        {"sheet": "bench", "kind": "page"},
        name="winter-bench-paper",
    ),
    path(
        "winter-plan/<int:year>/bench/paper.pdf",
        winter.paper,
        {"sheet": "bench", "kind": "pdf"},
        name="winter-bench-pdf",
    ),
]
