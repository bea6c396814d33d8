"""Who lies near whom: an order in which places follow each other, for lists rather than rounds."""

from servicedesk.values.travel_times import TravelTimes


def near_one_another(times: TravelTimes, start: int = 0) -> tuple[tuple[int, int], ...]:
    """All other places, each time the nearest to the one before; ties go to the lower number.

    `times` holds the places, `start` is where one begins. Answers (place, minutes from the one
    before). A nearest-neighbor chain (textbook heuristic): good enough to read a list by, while
    rounds are planned by the planner. Quadratic; forty places take about a millisecond.
    """
    left = [place for place in range(len(times.minutes)) if place != start]
    chain: list[tuple[int, int]] = []
    at = start
    while left:
        row = times.minutes[at]
        nearest = min(left, key=lambda place: (row[place], place))
        chain.append((nearest, row[nearest]))
        left.remove(nearest)
        at = nearest
    return tuple(chain)
