"""Seven invented worlds: stalls whose customers are mostly steady. All people, places and figures are made up."""

from datetime import date

from farmops.proving.worlds.parts import Item, Market, Season, World

EVEN = ((1.0, 1.0, 1.0),)
EARLY_RUSH = ((1.0, 1.2, 3.2),)
LATE_CROWD = ((1.0, 3.6, 1.7),)
TWO_PEAKS = ((0.5, 2.5, 8.0), (0.5, 8.0, 3.5))
MIDDAY = ((1.0, 2.4, 2.2),)
RUSH_THEN_EVEN = ((0.45, 1.0, 9.0), (0.55, 1.1, 1.2))

SPRING = Season(18, 6, 9, 0.55)
SUMMER = Season(29, 9, 6, 0.45)
AUTUMN = Season(41, 12, 6, 0.5)
BROAD = Season(26, 16, 12, 0.7)

CORNER_STAND = World(
    name="corner_stand",
    story="One Saturday morning stand, small counts, people drop by evenly, hardly a season.",
    starts=date(2025, 4, 7),
    markets=(Market("Saturday", 5, 480, 780, EVEN),),
    items=(
        Item("lettuce", "salad", 12, 3.0, 0.9, season=BROAD),
        Item("arugula", "salad", 8, 3.5, 1.2, season=BROAD),
        Item("spinach", "salad", 9, 4.0, 1.4, 0.3, season=SPRING),
        Item("parsley", "herbs", 6, 2.0, 0.6, season=BROAD),
        Item("basil", "herbs", 10, 2.5, 0.8, season=SUMMER),
        Item("dill", "herbs", 5, 2.0, 0.7),
    ),
    day_spread=60,
    item_spread=30,
    walk=0.01,
)

TOWN_SQUARE = World(
    name="town_square",
    story="Wednesday and Saturday on the square; the early birds take most; ten items with seasons of their own.",
    starts=date(2025, 3, 31),
    markets=(
        Market("Wednesday", 2, 480, 780, EARLY_RUSH, 0.6, 0.7, {"basil": 0.8}),
        Market("Saturday", 5, 480, 780, EARLY_RUSH, 1.0, 0.8),
    ),
    items=(
        Item("butterhead", "salad", 34, 3.0, 0.9, season=SPRING),
        Item("romaine", "salad", 26, 3.0, 0.9, season=SUMMER),
        Item("arugula", "salad", 22, 3.5, 1.1, season=SPRING, two_pieces=0.1),
        Item("salad mix", "salad", 40, 5.0, 1.6, 0.3, season=BROAD),
        Item("chard", "leaves", 18, 3.0, 0.8, season=AUTUMN),
        Item("kale", "leaves", 24, 3.0, 0.8, season=AUTUMN),
        Item("basil", "herbs", 30, 2.5, 0.8, season=SUMMER, also_takes={"parsley": 0.1}),
        Item("parsley", "herbs", 16, 2.0, 0.5, season=BROAD),
        Item("cilantro", "herbs", 20, 2.0, 0.6, season=SUMMER, elasticity=-0.9),
        Item("mint", "herbs", 9, 2.0, 0.5, season=SUMMER),
    ),
)

LATE_AFTERNOON = World(
    name="late_afternoon",
    story="Fridays from two to seven: the crowd comes after work, so what runs out early hides most of the demand.",
    starts=date(2025, 4, 21),
    markets=(
        Market("Friday", 4, 840, 1140, LATE_CROWD, 1.0, 0.8),
        Market("Tuesday", 1, 900, 1140, LATE_CROWD, 0.55, 0.7, {"basil": 1.2, "kale": 0.8}),
    ),
    items=(
        Item("lettuce", "salad", 30, 3.0, 1.0, season=SPRING),
        Item("salad mix", "salad", 36, 4.5, 1.4, season=BROAD),
        Item("spinach", "salad", 24, 4.0, 1.5, 0.2, season=SPRING),
        Item("kale", "leaves", 18, 3.0, 0.9, season=AUTUMN),
        Item("pak choi", "leaves", 15, 3.5, 1.0, season=AUTUMN),
        Item("basil", "herbs", 28, 2.5, 0.7, season=SUMMER),
        Item("chives", "herbs", 12, 2.0, 0.6, season=SPRING),
        Item("coriander", "herbs", 17, 2.0, 0.6, season=SUMMER),
    ),
    item_spread=12,
)

TWO_WAVES = World(
    name="two_waves",
    story="Dog walkers at nine, families before lunch; many take two of a thing.",
    starts=date(2025, 5, 5),
    markets=(Market("Saturday", 5, 480, 780, TWO_PEAKS), Market("Thursday", 3, 540, 840, TWO_PEAKS, 0.5)),
    items=(
        Item("butterhead", "salad", 22, 3.0, 1.0, season=SUMMER, two_pieces=0.35),
        Item("oakleaf", "salad", 17, 3.0, 1.0, season=SUMMER, two_pieces=0.3),
        Item("spinach", "salad", 19, 4.0, 1.3, season=SPRING, two_pieces=0.2),
        Item("chard", "leaves", 14, 3.0, 0.9, season=AUTUMN, two_pieces=0.15),
        Item("kale", "leaves", 20, 3.0, 0.8, season=AUTUMN, two_pieces=0.25),
        Item("basil", "herbs", 24, 2.5, 0.8, season=SUMMER, two_pieces=0.3),
        Item("parsley", "herbs", 13, 2.0, 0.6, season=BROAD, two_pieces=0.2),
    ),
    forgotten=0.2,
)

HARDY_LEAVES = World(
    name="hardy_leaves",
    story="Kale, chard and heads in a cold room: what comes back is sold once more at the next market.",
    starts=date(2025, 6, 2),
    markets=(
        Market("Wednesday", 2, 480, 780, MIDDAY, 0.7),
        Market("Saturday", 5, 480, 780, RUSH_THEN_EVEN, 1.0, 0.7, {"head lettuce": 1.2}),
    ),
    items=(
        Item("kale", "leaves", 26, 3.0, 0.9, season=AUTUMN, shelf_markets=2, carry_loss=0.1),
        Item("chard", "leaves", 20, 3.0, 0.9, season=AUTUMN, shelf_markets=2, carry_loss=0.2),
        Item("collards", "leaves", 14, 3.0, 1.0, 0.1, season=AUTUMN, shelf_markets=2, carry_loss=0.1),
        Item("head lettuce", "salad", 30, 3.0, 1.1, season=SUMMER, shelf_markets=2, carry_loss=0.15),
        Item("arugula", "salad", 18, 3.5, 1.2, season=BROAD),
        Item("cut salad", "salad", 28, 5.0, 1.8, season=BROAD),
        Item("basil", "herbs", 22, 2.5, 0.8, season=SUMMER),
        Item("thyme", "herbs", 8, 2.5, 0.8, shelf_markets=2, carry_loss=0.05),
    ),
)

SWAPPING_FRIENDS = World(
    name="swapping_friends",
    story="Regulars who, when one green is out, take another of the kind four times in ten.",
    starts=date(2025, 4, 7),
    markets=(
        Market("Saturday", 5, 480, 780, RUSH_THEN_EVEN, 1.0, 0.8),
        Market("Wednesday", 2, 480, 780, EVEN, 0.6),
    ),
    items=(
        Item("green butterhead", "salad", 24, 3.0, 1.0, season=SUMMER),
        Item("red butterhead", "salad", 18, 3.0, 1.0, season=SUMMER),
        Item("romaine", "salad", 20, 3.0, 1.0, season=SPRING),
        Item("curly kale", "leaves", 20, 3.0, 0.9, season=AUTUMN),
        Item("black kale", "leaves", 15, 3.0, 0.9, season=AUTUMN),
        Item("basil", "herbs", 24, 2.5, 0.8, season=SUMMER),
        Item("parsley", "herbs", 14, 2.0, 0.6, season=BROAD),
    ),
    swaps=0.4,
)

THREE_MARKETS = World(
    name="three_markets",
    story="Three unlike markets a week, a dozen items, half of the sell-out times never noted.",
    starts=date(2025, 4, 7),
    markets=(
        Market("Mill Lane", 2, 480, 780, TWO_PEAKS, 0.6, 0.75, {"basil": 1.3, "kale": 0.7, "mint": 1.3}),
        Market("Station", 4, 900, 1140, LATE_CROWD, 0.7, 0.65, {"salad mix": 1.35, "chard": 0.7}),
        Market("Old Town", 5, 480, 780, EARLY_RUSH, 1.0, 0.8, {"kale": 1.2}),
    ),
    items=(
        Item("butterhead", "salad", 28, 3.0, 1.0, season=SPRING),
        Item("romaine", "salad", 20, 3.0, 1.0, season=SUMMER),
        Item("salad mix", "salad", 34, 5.0, 1.7, season=BROAD),
        Item("arugula", "salad", 20, 3.5, 1.2, season=SPRING),
        Item("spinach", "salad", 24, 4.0, 1.4, 0.2, season=Season(16, 7, 12, 0.4)),
        Item("kale", "leaves", 22, 3.0, 0.8, season=AUTUMN),
        Item("chard", "leaves", 16, 3.0, 0.9, season=AUTUMN),
        Item("pak choi", "leaves", 13, 3.5, 1.1, season=AUTUMN),
        Item("basil", "herbs", 26, 2.5, 0.8, season=SUMMER),
        Item("parsley", "herbs", 15, 2.0, 0.6, season=BROAD),
        Item("coriander", "herbs", 17, 2.0, 0.6, season=SUMMER),
        Item("mint", "herbs", 8, 2.0, 0.6, season=SUMMER),
    ),
    called_off=0.07,
    forgotten=0.5,
)

CALM = (CORNER_STAND, TOWN_SQUARE, LATE_AFTERNOON, TWO_WAVES, HARDY_LEAVES, SWAPPING_FRIENDS, THREE_MARKETS)
