"""Addresses of selling."""

from django.urls import path

from farmops.selling.views import evening, list_items, markets, orders, outlets, stall

urlpatterns = [
    path("markets/", markets.markets, name="markets"),
    path("markets/<int:day>/items/", list_items.list_items, name="market-items"),
    path("markets/<int:day>/stall/", stall.stall, name="stall"),
    path("markets/<int:day>/evening/", evening.evening, name="evening"),
    path("orders/", orders.orders, name="orders"),
    path("orders/new/", orders.new_order, name="new-order"),
    path("orders/once/", orders.want, name="want-once"),
    path("orders/boxes/", orders.new_boxes, name="new-boxes"),
    path("orders/boxes/<int:number>/", orders.boxes, name="boxes"),
    path("outlets/", outlets.outlets, name="outlets"),
    path("outlets/new/", outlets.new_outlet, name="new-outlet"),
    path("outlets/<int:number>/", outlets.outlet, name="outlet"),
    path("outlets/<int:number>/closed/", outlets.closed, name="outlet-closed"),
    path("prices/", outlets.price, name="new-price"),
    path("orders/<int:number>/", orders.order, name="order"),
]
