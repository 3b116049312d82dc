"""A two-crop farm small enough to be worked out by hand; its best dollars were enumerated (our own example)."""

from farmops.core.sizing import Block, Cuts, Heads, Item, Market, Occupancy, Piece, Problem, Promise, Sowing, Space

WEEKS = 4


def hand_farm(finishing: float) -> Problem:
    """A is cut as heads, B as bags of two cuttings; nothing keeps; weeks 1-4 of the example are 0-3 here."""
    sowings = []
    for week in range(3):
        heads = Heads(ready=week + 1, last=week + 2, items=8, kind="finishing", places=1.25)
        sowings.append(Sowing("A", week, heads, (Occupancy("nursery", week, 10),), cost=2.0))
        blocks = (
            Block(((week + 1, 10),), (Occupancy("finishing", week + 1, 5),)),
            Block(((week + 2, 6),), (Occupancy("finishing", week + 2, 5),)),
        )
        sowings.append(Sowing("B", week, Cuts(blocks), (Occupancy("finishing", week, 5),), cost=3.0))
    return Problem(
        weeks=WEEKS,
        spaces=(Space("nursery", (20.0,) * WEEKS), Space("finishing", (finishing,) * WEEKS)),
        items=(Item("A", cutting=0.5), Item("B", cutting=0.5)),
        sowings=tuple(sowings),
        promises=tuple(Promise(f"box {week}", "A", week, 4, price=2.0, penalty=3.0) for week in (1, 2, 3)),
        markets=(
            *(Market(f"A {week}", "A", week, pieces((6, 3.0), (6, 2.0), (6, 0.5)), 3.0) for week in (2, 3)),
            *(Market(f"B {week}", "B", week, pieces((8, 2.5), (6, 1.0)), 2.5) for week in (1, 2, 3)),
        ),
    )


def pieces(*steps: tuple[float, float]) -> tuple[Piece, ...]:
    """Pieces that sell for certain, as (quantity, dollars)."""
    return tuple(Piece(quantity, worth, 1.0) for quantity, worth in steps)
