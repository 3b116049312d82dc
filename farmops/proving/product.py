"""The product as one more policy: it is asked in process what `bring --stream` would be asked, line by line."""

from collections.abc import Sequence

from farmops.core.demand import Economics, learn, looking_back
from farmops.exchange.stream import answer, record_of
from farmops.proving.missed_sales import Estimate
from farmops.proving.worlds.notebook import Answer, Ask, Record


def product(records: Sequence[Record], asks: Sequence[Ask]) -> Answer:
    """Ask the product. Raises ValueError with its own words if it refuses the line."""
    said = answer({"records": list(records), "asks": list(asks)})
    if "error" in said:
        raise ValueError(f"the product refused the line: {said['error']}")
    return Answer(tuple(int(one) for one in said["bring"]), tuple(float(one) for one in said["mean"]))


def missed_sales(records: Sequence[Record]) -> Estimate:
    """What the product says was missed after something ran out, in pieces."""
    kept = [one for one in (record_of(dict(record)) for record in records) if one is not None]
    learned = learn(kept, as_of=max(one.day for one in kept))
    worth = {(one.market, one.item): Economics(1.0, 0.0, 0.0) for one in kept}
    said = looking_back(learned, kept, worth).total.turned_away
    return Estimate(said.mean, said.low, said.high)
