"""Six invented worlds with weather, prices, growth or crowds on the move. All people, places, figures are made up."""

from datetime import date

from farmops.proving.worlds.calm import AUTUMN, BROAD, EARLY_RUSH, EVEN, LATE_CROWD, MIDDAY, SPRING, SUMMER, TWO_PEAKS
from farmops.proving.worlds.parts import Item, Market, Season, World

RAINY_COAST = World(
    name="rainy_coast",
    story="Rain on nearly half of the days halves the customers, and the seller packs up early on some; nobody knows "
    "the weather the evening before.",
    starts=date(2025, 3, 31),
    markets=(
        Market("Saturday", 5, 480, 780, MIDDAY, 1.0, 0.55),
        Market("Sunday", 6, 540, 840, EVEN, 0.8, 0.5, {"basil": 1.2}),
    ),
    items=(
        Item("butterhead", "salad", 26, 3.0, 0.9, season=SPRING),
        Item("arugula", "salad", 20, 3.5, 1.1, season=BROAD, rain=0.9),
        Item("salad mix", "salad", 32, 5.0, 1.5, season=BROAD),
        Item("kale", "leaves", 22, 3.0, 0.8, season=AUTUMN, rain=1.2),
        Item("chard", "leaves", 16, 3.0, 0.8, season=AUTUMN),
        Item("basil", "herbs", 25, 2.5, 0.7, season=SUMMER, rain=0.85),
        Item("parsley", "herbs", 14, 2.0, 0.5, season=BROAD),
        Item("coriander", "herbs", 16, 2.0, 0.6, season=SUMMER),
    ),
    rain_chance=0.45,
    weather_told=False,
    leaves_early=0.2,
    called_off=0.04,
)

GROWING_NAME = World(
    name="growing_name",
    story="A new stall whose name spreads: about one per cent more customers every week, some items faster.",
    starts=date(2025, 4, 7),
    markets=(
        Market("Saturday", 5, 480, 780, EARLY_RUSH, 1.0, 0.8),
        Market("Wednesday", 2, 480, 780, MIDDAY, 0.5, 0.75),
    ),
    items=(
        Item("butterhead", "salad", 18, 3.0, 0.9, season=SUMMER, drift=0.010),
        Item("salad mix", "salad", 20, 5.0, 1.6, season=BROAD, drift=0.016),
        Item("spinach", "salad", 15, 4.0, 1.4, 0.2, season=SPRING, drift=0.010),
        Item("kale", "leaves", 16, 3.0, 0.8, season=AUTUMN, drift=0.008),
        Item("pak choi", "leaves", 9, 3.5, 1.1, season=AUTUMN, drift=0.018),
        Item("basil", "herbs", 17, 2.5, 0.7, season=SUMMER, drift=0.010),
        Item("parsley", "herbs", 11, 2.0, 0.6, season=BROAD, drift=0.008),
        Item("coriander", "herbs", 12, 2.0, 0.6, season=SUMMER, drift=0.012),
    ),
    walk=0.02,
)

FADING_STREET = World(
    name="fading_street",
    story="Road works and a new shop: the stall loses a little every week, unevenly, and weather is never noted.",
    starts=date(2025, 5, 5),
    markets=(
        Market("Thursday", 3, 540, 840, EVEN, 0.8, 0.75),
        Market("Saturday", 5, 480, 780, EARLY_RUSH, 1.0, 0.8),
    ),
    items=(
        Item("lettuce", "salad", 34, 3.0, 1.1, season=SUMMER, drift=-0.008),
        Item("oakleaf", "salad", 24, 3.0, 1.1, season=SUMMER, drift=-0.010),
        Item("spinach", "salad", 26, 4.0, 1.5, season=SPRING, drift=-0.006),
        Item("kale", "leaves", 24, 3.0, 0.9, season=AUTUMN, drift=-0.008),
        Item("basil", "herbs", 30, 2.5, 0.9, season=SUMMER, drift=-0.010),
        Item("dill", "herbs", 14, 2.0, 0.7, season=SUMMER, drift=-0.006),
        Item("parsley", "herbs", 18, 2.0, 0.7, season=BROAD, drift=-0.004),
    ),
    walk=0.035,
    weather_told=False,
    weather_noted=False,
)

PRICE_BOARD = World(
    name="price_board",
    story="Prices on a chalk board that changes every third week; customers look twice before they buy.",
    starts=date(2025, 4, 7),
    markets=(
        Market("Saturday", 5, 480, 780, MIDDAY, 1.0, 0.8),
        Market("Tuesday", 1, 480, 720, EARLY_RUSH, 0.6, 0.7),
    ),
    items=(
        Item("butterhead", "salad", 28, 3.0, 0.9, season=SPRING, elasticity=-1.4),
        Item("romaine", "salad", 24, 3.0, 0.9, season=SUMMER, elasticity=-1.2),
        Item("salad mix", "salad", 30, 5.0, 1.7, 0.3, season=BROAD, elasticity=-1.0),
        Item("kale", "leaves", 22, 3.0, 0.8, season=AUTUMN, elasticity=-0.8),
        Item("chard", "leaves", 17, 3.0, 0.8, season=AUTUMN, elasticity=-1.2),
        Item("basil", "herbs", 28, 2.5, 0.7, season=SUMMER, elasticity=-1.5),
        Item("parsley", "herbs", 14, 2.0, 0.5, season=BROAD, elasticity=-0.4),
        Item("mint", "herbs", 10, 2.0, 0.5, season=SUMMER, elasticity=-0.3),
    ),
    price_moves=0.33,
)

WILD_DAYS = World(
    name="wild_days",
    story="A bus stop, a school, a fair now and then: whole days are twice as good or half as good as usual.",
    starts=date(2025, 4, 28),
    markets=(
        Market("Friday", 4, 840, 1110, LATE_CROWD, 0.8, 0.75),
        Market("Sunday", 6, 540, 840, TWO_PEAKS, 1.0, 0.7),
    ),
    items=(
        Item("lettuce", "salad", 28, 3.0, 0.8, season=SUMMER),
        Item("arugula", "salad", 20, 3.5, 1.0, season=SPRING),
        Item("salad mix", "salad", 34, 5.0, 1.4, season=BROAD, two_pieces=0.15),
        Item("kale", "leaves", 20, 3.0, 0.7, season=AUTUMN),
        Item("basil", "herbs", 26, 2.5, 0.6, season=SUMMER, two_pieces=0.1),
        Item("parsley", "herbs", 13, 2.0, 0.5, season=BROAD),
        Item("chives", "herbs", 10, 2.0, 0.5, season=SPRING),
    ),
    day_spread=8,
    item_spread=10,
    forgotten=0.2,
)

SUMMER_GUESTS = World(
    name="summer_guests",
    story="A lake town: four times the customers in the holidays, two great weekends, what goes with what is bought "
    "together.",
    starts=date(2025, 4, 7),
    markets=(
        Market("Saturday", 5, 480, 780, EARLY_RUSH, 1.0, 0.7),
        Market("Wednesday", 2, 480, 780, MIDDAY, 0.7, 0.65, {"salad mix": 1.2}),
    ),
    items=(
        Item("butterhead", "salad", 40, 3.0, 0.9, season=Season(30, 7, 5, 0.3), also_takes={"chives": 0.15}),
        Item("salad mix", "salad", 44, 5.0, 1.6, season=Season(30, 8, 5, 0.28)),
        Item("arugula", "salad", 26, 3.5, 1.1, season=Season(29, 8, 6, 0.35)),
        Item("kale", "leaves", 18, 3.0, 0.8, season=AUTUMN),
        Item("chard", "leaves", 18, 3.0, 0.8, season=Season(32, 9, 6, 0.4)),
        Item("basil", "herbs", 42, 2.5, 0.7, season=Season(31, 7, 4, 0.22), also_takes={"parsley": 0.12}),
        Item("parsley", "herbs", 14, 2.0, 0.6, season=BROAD),
        Item("chives", "herbs", 9, 2.0, 0.5, season=SPRING),
        Item("dill", "herbs", 16, 2.0, 0.6, season=Season(30, 6, 5, 0.3)),
    ),
    called_off=0.03,
    special_weeks={27: 1.3, 33: 1.25},
)

RESTLESS = (RAINY_COAST, GROWING_NAME, FADING_STREET, PRICE_BOARD, WILD_DAYS, SUMMER_GUESTS)
