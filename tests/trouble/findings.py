"""Cases of trouble in few words, for the tests of the diagnosis."""

from servicedesk.trade.faults import Knowledge, knowledge
from servicedesk.trouble.case import Case, Earlier, Found, Installed

KNOWN: Knowledge = knowledge()


def found(*pairs: str) -> tuple[Found, ...]:
    """Findings from "check=result"; "check=" was not looked at, "check" done and not written."""
    return tuple(
        Found(check, result or None) for check, _, result in (pair.partition("=") for pair in pairs)
    )


def case(
    symptom: str | tuple[str, ...],
    *pairs: str,
    earlier: tuple[Earlier, ...] = (),
    site_has: frozenset[str] | None = None,
    installed: tuple[Installed, ...] = (),
) -> Case:
    symptoms = (symptom,) if isinstance(symptom, str) else symptom
    return Case(
        symptoms=symptoms,
        found=found(*pairs),
        earlier=earlier,
        site_has=site_has,
        installed=installed,
    )


def visit(
    days: int, outcome: str, *pairs: str, symptom: str = "high-water-alarm", **more
) -> Earlier:
    return Earlier(days_before=days, symptom=symptom, outcome=outcome, found=found(*pairs), **more)
