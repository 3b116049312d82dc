"""Addresses of the farm's own pages."""

from django.urls import path

from farmops.farm.views import day_book, farm

urlpatterns = [
    path("farm/", farm.farm, name="farm"),
    path("day-book/", day_book.book, name="day-book"),
    path("entries/<int:number>/undo/", day_book.undo_entry, name="undo-entry"),
]
