"""Where room is no limit, a plan keeps a reserve against plants that come late.

A plan goes by the usual days. Half of all plantings come later, and then somebody goes without; those that come earlier
wait in their places. Where a kind of space is hardly ever full, waiting costs nothing, and sowings are planned as if
they took some days longer. Where room is short the same days would be places left empty: there the usual days stay.
"""

from .plan import Plan

# Tried in invented seasons (farmops/proving/sown): in loose room 2 days gain about a hundredth of the profit, in tight
# room they cost two or three.
RESERVE_DAYS = 2.0
LOOKED_AT = 16  # weeks of the plan; later ones are not yet whole, and hardly seen
OFTEN = 0.25  # of the weeks: a kind that is full more often is short


def roomy_kinds(plan: Plan) -> frozenset[str]:
    """Kinds of space that are hardly ever full in the first weeks of a plan."""
    full: dict[str, list[bool]] = {}
    for use in plan.room:
        if use.week < LOOKED_AT and use.places > 0:
            full.setdefault(use.kind, []).append(use.binding)
    return frozenset(kind for kind, weeks in full.items() if sum(weeks) <= OFTEN * len(weeks))
