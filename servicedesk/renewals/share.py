"""A fair share of a round's driving for each of its stops: the Shapley value.

The driving of some of the stops alone is the way from the start past them, in the order in which
they were driven, and home. A stop's share is what it adds to that, averaged over all orders in
which the stops could have come together. Such a game over a fixed order has the shares in closed
form, so that nothing is drawn by chance. (Games over a fixed route: Potters, Curiel and Tijs,
"Traveling salesman games", 1992, from memory. The closed form is derived in `_arc_shares`.)
"""

from collections.abc import Sequence

Legs = Sequence[Sequence[float]]


def shares(legs: Legs) -> tuple[float, ...]:
    """The share of stops 1..n of a round from place 0 and back to it.

    ``legs[i][j]``: cost from place i to place j (minutes, meters: the answer has the same unit);
    stops are numbered in the order driven. The shares add up to the whole round. None is below
    zero where no detour is shorter than the straight way. Raises ValueError for ragged legs.
    """
    n = len(legs) - 1
    if any(len(row) != n + 1 for row in legs):
        raise ValueError("legs must be as many in each row as there are rows")
    found = [0.0] * n
    for before in range(n + 1):
        for after in range(before + 1, n + 2):
            if before == 0 and after == n + 1:
                continue  # nobody is visited: nobody drives
            _arc_shares(found, before, after, legs[before][after % (n + 1)])
    return tuple(found)


def _arc_shares(found: list[float], before: int, after: int, cost: float) -> None:
    """Add the shares of one leg, driven if its ends are in the group and nobody between is.

    With a ends and b stops between: an end makes the leg where it comes last of the ends and
    before all between, in (a - 1)! b! of (a + b)! orders; one between unmakes it where it comes
    right after the ends and before the others, in a! (b - 1)! of (a + b)! orders.
    """
    n = len(found)
    ends = [place for place in (before, after) if 1 <= place <= n]
    between = after - before - 1
    if len(ends) == 2:
        make, unmake = (
            1 / ((between + 1) * (between + 2)),
            2 / (between * (between + 1) * (between + 2)) if between else 0.0,
        )
    else:
        make, unmake = 1 / (between + 1), 1 / (between * (between + 1)) if between else 0.0
    for place in ends:
        found[place - 1] += make * cost
    for place in range(before + 1, after):
        found[place - 1] -= unmake * cost


def shares_of(total: float, weights: Sequence[float]) -> tuple[float, ...]:
    """`total` divided in the proportion of `weights`, evenly where they are all zero."""
    if not weights:
        return ()
    whole = sum(weights)
    if whole <= 0:
        return (total / len(weights),) * len(weights)
    return tuple(total * weight / whole for weight in weights)
