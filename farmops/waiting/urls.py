"""Addresses of waits."""

from django.urls import path

from farmops.waiting.views import waits

urlpatterns = [
    path("plantings/<name:code>/wait/", waits.wait, name="do-not-cut"),
    path("waits/<int:number>/lift/", waits.lift, name="lift-wait"),
]
