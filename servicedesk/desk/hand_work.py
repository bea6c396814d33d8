"""Help after the hand: one round put in order, the rounds around a moved stop mended."""

from servicedesk.desk.planning import SEED, DayCase
from servicedesk.routes import settle
from servicedesk.routes.plan import DayPlan
from servicedesk.values.progress import Progress, quiet

WORTH_TELLING_MIN = 5  # of road saved; less is not worth a question


def tidied_round(case: DayCase, crew_id: str, progress: Progress = quiet) -> DayPlan:
    """The day with one round in its best order, every other round as it stands. Writes nothing.

    The day as it stands if nothing is gained.
    """
    return settle.tidied(case.stand, crew_id, seed=SEED, progress=progress)


def mended_around(
    case: DayCase, stop_id: str, from_crew: str | None, progress: Progress = quiet
) -> DayPlan:
    """The day mended around a stop that was just moved by hand, with few changes.

    The stop stays where it was put; who was told, promised or held stays too. Writes nothing. The
    day as it stands if the stop has no place, or nothing worth telling is gained.
    """
    stand = case.stand
    if stop_id not in stand.crew_id_of:
        return stand
    lost = from_crew if from_crew in stand.day_of else None
    found = settle.settled(stand, stop_id, from_crew=lost, seed=SEED, progress=progress)
    saved = stand.road_min - found.road_min
    is_better = saved >= WORTH_TELLING_MIN or _broken(found) < _broken(stand)
    return found if is_better else stand


def _broken(plan: DayPlan) -> int:
    """Rounds that break hours or the shift, and minutes after promises."""
    return sum((not day.is_sound) * 60 + day.late_min for day in plan.days)
