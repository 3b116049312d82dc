"""Addresses of pages that need what grows, what is wanted and what lies there all at once."""

from django.urls import path

from farmops.planning.views import (
    crop_lost,
    market_before,
    pick,
    planting,
    ready_dates,
    sowing_list,
    tonight,
    what_if,
    winter,
    winter_boxes,
    winter_closed,
)

urlpatterns = [
    path("markets/<int:day>/", market_before.market_day, name="market-day"),
    path("markets/<int:day>/advice/", market_before.market_advice, name="market-advice"),
    path("plantings/", planting.plantings, name="plantings"),
    path("plantings/<name:code>/", planting.planting, name="planting"),
    path("plantings/<name:code>/lost/", crop_lost.lost, name="crop-lost"),
    path("plantings/<name:code>/pick/", pick.pick, name="pick-crop"),
    path("pick-list/", tonight.pick_list, name="pick-list"),
    path("picks/<int:number>/correct/", pick.correct, name="correct-pick"),
    path("ready-dates/", ready_dates.dates, name="ready-dates"),
    path("sowing-list/", sowing_list.bench, name="sowing-list"),
    path("sowing-list/worked-out/", sowing_list.work_out, name="work-out-sowings"),
    path("sowing-list/started/", sowing_list.start, name="start-sowing"),
    path("sowing-list/room/", sowing_list.room, name="room-worth"),
    path("sowing-list/what-if/", what_if.asked, name="what-if"),
    path("sowing-list/what-if/worked-out/", what_if.work_out, name="what-if-worked-out"),
    path("sowing-list/last-days/", sowing_list.last_days, name="last-sowing"),
    path("sowing-list/<int:variety>/<str:monday>/", sowing_list.line, name="sowing-line"),
    path("winter-plan/", winter.plan, name="winter-plan"),
    path("winter-plan/worked-out/", winter.work_out, name="work-out-year"),
    path("winter-plan/seed/", winter.seed, name="seed-order"),
    path("winter-plan/boxes/", winter_boxes.contents, name="box-contents"),
    path("winter-plan/boxes/set/", winter_boxes.set_them, name="set-box-contents"),
    path("winter-plan/<int:year>/copy/", winter.copied, name="copy-year"),
    path("closed-days/", winter_closed.closed_days, name="closed-days"),
    path("closed-days/<str:kind>/<int:number>/open/", winter_closed.opened, name="open-again"),
]
