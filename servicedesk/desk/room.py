"""Room on a planned day for what came in since: a call this morning, a visit given the day."""

from servicedesk.desk.planning import DayCase
from servicedesk.routes import keep
from servicedesk.routes.plan import DayPlan
from servicedesk.routes.squeeze import places_for


def with_room_used(case: DayCase) -> DayPlan | None:
    """The day as it stands with every must put in that fits without harm, None if none does.

    Only on drafts: a round that was handed out is somebody's word by now.
    """
    if any(r.state != "draft" for r in case.rounds.values()):
        return None
    plan = case.stand
    waiting = [case.problem.stop_of[left.stop_id] for left in plan.left_out]
    for stop in sorted((s for s in waiting if s.is_must), key=lambda s: (s.begin_until_min, s.id)):
        places = [p for p in places_for(stop, plan) if not p.promises_broken]
        if places:
            best = places[0]
            plan = keep.moved(plan, stop.id, to_crew=best.crew_id, position=best.position)
    return None if plan is case.stand else plan
