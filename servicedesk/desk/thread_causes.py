"""What a thread's causes point to: components, by the chance that the trouble sits there."""

from collections.abc import Mapping

from servicedesk.desk.cases import case_of
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.learned import learned
from servicedesk.desk.office import Desk
from servicedesk.desk.threads import TroubleThread
from servicedesk.trouble.opinion import opinion
from servicedesk.values.trouble import Trouble


def components_behind(desk: Desk, thread: TroubleThread) -> Mapping[str, float]:
    """Chance by component that the cause sits in it, by all that is known now.

    Nothing where no symptom was noted or nobody said which of several systems it is about.
    """
    if not thread.thread.lead:
        return {}
    known = knowledge_of(desk)
    try:
        case = case_of(
            desk,
            system_id=thread.system_id,
            site_id=None if thread.system_id else thread.site_id,
            symptoms=(thread.thread.lead,),
        )
    except Trouble:
        return {}
    if any(symptom not in known.causes_of for symptom in case.symptoms):
        return {}
    found: dict[str, float] = {}
    for one in opinion(case, known, learned(desk)).causes:
        component = known.causes[one.cause].component
        found[component] = found.get(component, 0.0) + one.chance
    return found
