"""Addresses of pages that need what grows, what is wanted and what lies there all at once."""

from django.urls import path

from farmops.planning.views import pick, tonight

urlpatterns = [
    path("plantings/<str:code>/pick/", pick.pick, name="pick-crop"),
    path("pick-list/", tonight.pick_list, name="pick-list"),
    path("picks/<int:number>/correct/", pick.correct, name="correct-pick"),
]
