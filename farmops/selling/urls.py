"""Addresses of selling."""

from django.urls import path

from farmops.selling.views import evening, list_items, markets, stall

urlpatterns = [
    path("markets/", markets.markets, name="markets"),
    path("markets/<int:day>/items/", list_items.list_items, name="market-items"),
    path("markets/<int:day>/stall/", stall.stall, name="stall"),
    path("markets/<int:day>/evening/", evening.evening, name="evening"),
]
