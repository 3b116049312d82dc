"""The small farm with records of a spring: sheets that go into the tables and out of them again."""

from pathlib import Path

from tests.exchange.sheets.small_farm import write_farm

RECORDS = {
    "seed_lots": """
        seed_lot,variety,supplier,seeds,germination
        S-1,green butterhead,"Seeds, Ltd",900,92
        """,
    "plantings": """
        planting,variety,sown,plants,seed_lot,state,cleared,note
        P-1,green butterhead,2026-03-02,40,S-1,,,
        P-2,mizuna,2026-03-02,256,,,2026-04-27,half of it bolted
        P-3,curly kale,2026-06-01,72,,planned,,
        """,
    "stays": """
        planting,space,plants,from,to,moved_from,places,state
        P-1,N-1,40,2026-03-02,2026-03-16,,,
        P-1,F-1,18,2026-03-16,,N-1,,
        P-1,F-2,18,2026-03-16,,N-1,,
        P-2,B-1,256,2026-03-02,,,2.5,
        P-3,N-1,72,2026-06-01,2026-06-29,,,planned
        """,
    "losses": """
        planting,space,day,plants,cause
        P-1,N-1,2026-03-16,4,damping off
        P-1,F-2,2026-04-20,1,
        """,
    "walks": """
        planting,day,by,ready,days_late,finished
        P-1,2026-04-30,Odile,30,,
        P-2,2026-04-27,,,,yes
        """,
    "picks": """
        planting,day,amount,unit,space,cutting,time,by
        P-1,2026-05-01,10,head,F-1,,07:10,Ines
        P-1,2026-05-01,3,heads,,,,
        P-2,2026-04-20,12.0,lb,B-1,1,,
        P-2,2026-04-20,12.0,lb,B-1,1,,
        """,
    "market_days": """
        date,market,opens,closes,item,unit,price,brought,left_over,restocked,restocked_at,sold_out_at,sold,unit_cost,weather,status
        2026-05-02,Saturday market,08:00,13:00,butterhead,head,3.00,20,0,,,11:40,,30%,dry,
        2026-05-02,Saturday market,08:00,13:00,mizuna bag,lb,9.00,8.25,,2,10:15,,,1.20,dry,
        2026-05-09,Saturday market,08:00,13:00,butterhead,head,3.00,24,,,,,,,,planned
        """,
    "standing_orders": """
        buyer,item,weekday,amount,first_day
        Inn,butterhead,fri,6,2026-04-03
        """,
    "box_counts": """
        box,week,last_week,size,boxes,item,amount
        Boxes,2026-W18,2026-W20,full,12,butterhead,1
        """,
    "single_wants": """
        outlet,item,day,amount,instead,note
        Inn,kale,2026-05-08,2.5,,for a wedding
        """,
    "closed_days": """
        first_day,last_day,outlet,reason
        2026-12-24,,,holidays
        2026-07-04,2026-07-05,Inn,closed
        """,
    "waiting": """
        planting,space,ended,ended_at,product,job,harvest_days,reason,not_before,not_before_at
        ,B-1,2026-04-01,,soap,spray,3,,,
        P-1,F-1,2026-03-16,,,,,hail,2026-05-06,06:30
        """,
}


def write_grown(folder: Path, **sheets: str | None) -> Path:
    """Write the farm into a folder; a sheet given here replaces its own, None leaves it out."""
    folder.mkdir(exist_ok=True)
    return write_farm(folder, **{**RECORDS, **sheets})


def write_only(folder: Path, **sheets: str) -> Path:
    """Only the sheets given here: rows to be added to a farm that is there."""
    folder.mkdir(exist_ok=True)
    for name, text in sheets.items():
        lines = [line.strip() for line in text.strip().splitlines()]
        (folder / f"{name}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return folder
