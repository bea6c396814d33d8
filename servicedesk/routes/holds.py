"""Stops held in their place by hand: the order they keep, and the gaps it leaves to others."""

from collections.abc import Iterable, Sequence

from servicedesk.routes.problem import Stop


def held_in_order(stops: Iterable[Stop], crew_id: str) -> list[Stop]:
    """The stops held with a crew at a position, in the order they are held in."""
    held = [s for s in stops if s.held_crew == crew_id and s.held_position is not None]
    return sorted(held, key=_rank)


def gaps_for(stop: Stop, order: Sequence[Stop]) -> range:
    """Where `stop` may be put into `order` (0 = first) without turning the held order round."""
    if stop.held_crew is None or stop.held_position is None:
        return range(len(order) + 1)
    first, last = 0, len(order)
    for k, other in enumerate(order):
        if other.held_crew != stop.held_crew or other.held_position is None:
            continue
        if _rank(other) < _rank(stop):
            first = k + 1
        else:
            last = min(last, k)
    return range(first, last + 1)


def keeps_held_order(order: Sequence[Stop], crew_id: str) -> bool:
    """Do the held stops among `order` stand in the order they are held in?"""
    held = [s for s in order if s.held_crew == crew_id and s.held_position is not None]
    return held == held_in_order(held, crew_id)


def _rank(stop: Stop) -> tuple[int, str]:
    return (stop.held_position or 0, stop.id)
