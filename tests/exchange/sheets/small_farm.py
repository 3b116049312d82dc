"""A small invented farm as sheets, for tests to change a sheet of."""

from pathlib import Path

SMALL_FARM = {
    "farm": """
        name,latitude,harvest_days
        Low Meadow,42.4,tue;fri
        """,
    "varieties": """
        variety,crop,category,part,part_plants,part_cost
        green butterhead,lettuce,lettuce,half tray,36,2.00
        red oakleaf,lettuce,lettuce,half tray,36,2.00
        mizuna,mizuna,salad,tray,128,4.00
        curly kale,kale,kale,tray,72,3.00
        """,
    "schedules": """
        variety,stage,stage_name,kind,days,light_response,plants_per_place,survive,harvest,unit,units_per_plant,packed,cuttings,days_between,pick_weeks,stands_good_days
        green butterhead,1,nursery,nursery,14,0,1,90,,,,,,,,
        green butterhead,2,finishing,channel,21,0,1,95,head,head,1,100,,,,10
        red oakleaf,1,nursery,nursery,14,0,1,90,,,,,,,,
        red oakleaf,2,finishing,channel,21,0,1,95,head,head,1,100,,,,10
        mizuna,1,bench,bench,28,0,128,80,cut,lb,0.05,90,100;80;60,14,,7
        curly kale,1,nursery,nursery,28,0,1,90,,,,,,,,
        curly kale,2,bed,bed,35,0,1,100,picked,lb,0.25,95,,,19,7
        """,
    "spaces": """
        space,kind,places
        N-1,nursery,144
        F-1,channel,18
        F-2,channel,18
        F-3,channel,18
        B-1,bench,6
        Bed 1,bed,60
        """,
    "items": """
        item,unit,step,category,keeps_days,cutting_cost
        butterhead,head,1,lettuce,7,0.30
        mizuna bag,lb,0.25,salad,4,1.00
        kale,lb,0.25,kale,7,0.80
        """,
    "item_parts": """
        item,variety,share
        butterhead,green butterhead,100
        mizuna bag,mizuna,100
        kale,curly kale,100
        """,
    "outlets": """
        outlet,kind,weekday,opens,closes
        Saturday market,market,sat,08:00,13:00
        Inn,buyer,fri,,
        Boxes,box,thu,,
        """,
    "prices": """
        item,outlet,from,price
        butterhead,,,3.00
        butterhead,Inn,,2.40
        mizuna bag,,,9.00
        kale,,,6.00
        """,
}


def write_farm(folder: Path, **sheets: str | None) -> Path:
    """Write the small farm into a folder; a sheet given here replaces or is added to its own, None leaves it out."""
    for name, text in {**SMALL_FARM, **sheets}.items():
        if text is not None:
            lines = [line.strip() for line in text.strip().splitlines()]
            (folder / f"{name}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return folder
