"""The product as one more policy: it is asked in process what `bring --stream` would be asked, line by line."""

from collections.abc import Sequence

from farmops.exchange.stream import answer
from farmops.proving.worlds.notebook import Answer, Ask, Record


def product(records: Sequence[Record], asks: Sequence[Ask]) -> Answer:
    """Ask the product. Raises ValueError with its own words if it refuses the line."""
    said = answer({"records": list(records), "asks": list(asks)})
    if "error" in said:
        raise ValueError(f"the product refused the line: {said['error']}")
    return Answer(tuple(int(one) for one in said["bring"]), tuple(float(one) for one in said["mean"]))
