"""Who can do which job: a skill counts once any technician has it written down."""

from collections.abc import Iterable

from servicedesk.records.company import Technician

# common practice, no source: what a job of a kind asks of whoever does it
SKILL_OF = {
    "inspection": "inspection",
    "callback": "callback",
    "owed": "repair",
    "repair": "repair",
    "installation": "installation",
    "start-up": "installation",
    "pump-out": "pump-out",
}


def needs_of(kinds: Iterable[str], team: Iterable[Technician]) -> frozenset[str]:
    """The skills that jobs of these kinds ask for, as far as anybody in the team names them.

    What nobody names is asked of nobody: a company that keeps no skills plans as before.
    """
    named = {skill for technician in team for skill in technician.skills}
    return frozenset(SKILL_OF[kind] for kind in kinds if kind in SKILL_OF) & named


def skills_of(technician: Technician, team: Iterable[Technician]) -> frozenset[str]:
    """What a technician can do; with nothing written down about them, all that the team can."""
    if technician.skills:
        return frozenset(technician.skills)
    return frozenset(skill for one in team for skill in one.skills)
