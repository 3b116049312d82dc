"""Addresses of what happens to plants."""

from django.urls import path

from farmops.growing.views import (
    clear,
    items,
    light,
    lose,
    move,
    schedules,
    seed_lots,
    set_spaces,
    setting_up,
    sow,
    spaces,
    varieties,
    walk,
)

urlpatterns = [
    path("setting-up/", setting_up.setting_up, name="setting-up"),
    path("stays/<int:stay>/move/", move.move, name="move-plants"),
    path("stays/<int:stay>/lose/", lose.lose, name="lose-plants"),
    path("stays/<int:stay>/drop/", spaces.drop, name="drop-plan"),
    path("plantings/new/", sow.new, name="sow"),
    path("plantings/<name:code>/sow/", sow.planned, name="sow-planned"),
    path("plantings/<name:code>/plan/", spaces.plan, name="plan-stay"),
    path("plantings/<name:code>/walk/", walk.walk, name="walk-past"),
    path("plantings/<name:code>/clear/", clear.clear, name="clear-planting"),
    path("varieties/", varieties.varieties, name="varieties"),
    path("varieties/new/", varieties.new_variety, name="new-variety"),
    path("varieties/<int:number>/", varieties.variety, name="variety"),
    path("varieties/<int:number>/change/", varieties.change, name="change-variety"),
    path("varieties/<int:number>/schedule/", schedules.new_schedule, name="new-schedule"),
    path("schedules/<int:number>/", schedules.schedule, name="schedule"),
    path("items/", items.items, name="items"),
    path("items/new/", items.new_item, name="new-item"),
    path("items/<int:number>/", items.item, name="item"),
    path("seed-lots/", seed_lots.seed_lots, name="seed-lots"),
    path("seed-lots/new/", seed_lots.new_seed_lot, name="new-seed-lot"),
    path("seed-lots/<int:number>/", seed_lots.seed_lot, name="seed-lot"),
    path("spaces/", spaces.spaces, name="spaces"),
    path("spaces/light/<int:kind>/", light.light, name="kind-light"),
    path("setting-up/spaces/", set_spaces.new_spaces, name="new-spaces"),
    path("spaces/<name:name>/places/", set_spaces.places, name="space-places"),
    path("spaces/<name:name>/close/", set_spaces.close, name="close-space"),
    path("spaces/<name:name>/", spaces.space, name="space"),
]
