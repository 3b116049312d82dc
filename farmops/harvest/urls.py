"""Addresses of the cold room and its crates."""

from django.urls import path

from farmops.harvest.views import cold_room, crates

urlpatterns = [
    path("cold-room/", cold_room.room, name="cold-room"),
    path("cold-room/lot/", cold_room.lot, name="cold-room-lot"),
    path("lots/<name:code>/pack/", cold_room.pack, name="pack-lot"),
    path("crates/", crates.crates, name="crates"),
]
