"""How long jobs took, kept while no job or visit changes: asked again and again during a call."""

from servicedesk.desk.cached import cached_for
from servicedesk.desk.demand import Times, learned_times
from servicedesk.desk.office import Desk


def past_times(desk: Desk) -> Times:
    """The same as `learned_times`."""
    return cached_for(desk, ("job", "visit"), ("past times",), lambda: learned_times(desk.store))
