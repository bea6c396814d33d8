"""`servicedesk done` for a trouble: --check, --cause, --known-by, --no-fault-found."""

import argparse
from collections.abc import Iterable
from dataclasses import replace
from difflib import get_close_matches

from servicedesk.desk.writeup_agree import result_of_reading
from servicedesk.desk.writeup_behind import COULD_NOT_LOOK, ESTABLISHED, NO_FAULT, PRESUMED
from servicedesk.desk.writeup_checks import NOT_LOOKED_AT
from servicedesk.desk.writeup_entry import JobEntry, ReadingEntry
from servicedesk.desk.writeup_form import VisitForm
from servicedesk.desk.writeup_read import reading_of
from servicedesk.trade.check_units import measures
from servicedesk.trade.checks import Check
from servicedesk.trade.faults import Knowledge
from servicedesk.trade.reading_shapes import Number
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


def with_findings(form: VisitForm, job: JobEntry, chosen: argparse.Namespace) -> JobEntry:
    """The job with what the shell says of its trouble; one that is about none stays as it is.

    What was behind a call is not said of other work that was owed there as well.

    Raises Trouble for a check, result or cause that is not known, naming the nearest one.
    """
    if job.job_id not in form.troubles:
        return job
    known = form.troubles[job.job_id].known
    findings, readings = dict(job.findings), dict(job.readings)
    for text in chosen.check:
        check, result, number = _understood(known, text)
        said: str | None = result
        if number is not None:
            readings[number[0].id] = number[1]
            said = said or result_of_reading(check.id, reading_of(number[1].text, number[1].unit))
        if not said:
            raise Trouble(
                say("{check}: say what {text} means.", check=check.name, text=text),
                do=say("Add one of: {known}.", known=_results(check)),
            )
        findings[check.id] = said
    job = replace(job, findings=findings, readings=readings)
    if not _concluded(form, job):
        return job
    if chosen.cause:
        cause_id = _known(chosen.cause, known.causes, say("cause"))
        known_by = chosen.known_by.replace("-", " ")
        behind = PRESUMED if known_by == PRESUMED else ESTABLISHED
        return replace(job, behind=behind, cause_id=cause_id, known_by=known_by)
    if chosen.no_fault_found:
        return replace(job, behind=NO_FAULT, cause_id="", known_by="")
    if chosen.could_not_look:
        return replace(job, behind=COULD_NOT_LOOK, cause_id="", known_by="")
    return job


def _concluded(form: VisitForm, job: JobEntry) -> bool:
    """Is what was behind it said of this job? Of the calls; of owed work where nobody called."""
    calls = [trouble.job_id for trouble in form.troubles.values() if trouble.must_say]
    return job.job_id in calls or not calls


def refuse_nowhere(form: VisitForm, chosen: argparse.Namespace) -> None:
    """Raises Trouble where findings are given and no job of the visit is about a trouble."""
    asked = chosen.check or chosen.cause or chosen.no_fault_found or chosen.could_not_look
    if asked and not form.troubles:
        raise Trouble(
            say("No job of this visit is about a trouble: its items are said with --reading."),
            means=say("Nothing was written."),
        )
    if bool(chosen.cause) + chosen.no_fault_found + chosen.could_not_look > 1:
        raise Trouble(
            say("Only one of --cause, --no-fault-found and --could-not-look can be so."),
            means=say("Nothing was written."),
        )


def _understood(
    known: Knowledge, text: str
) -> tuple[Check, str, tuple[Number, ReadingEntry] | None]:
    """As "splice-look=wet-or-green", "pump-insulation=0.08 MΩ, low", "drawdown-rate=-"."""
    name, sign, value = text.partition("=")
    if not sign or not value.strip():
        raise Trouble(
            say("“{text}” is no finding.", text=text),
            do=say("Write it like splice-look=wet-or-green or pump-amps=6.9 A, normal."),
        )
    check = known.checks[_known(name.strip(), known.checks, say("check"))]
    measure = measures().get(check.id)
    first, _, rest = value.strip().partition(",")
    number = typed_number(measure, first) if measure is not None else None
    if number is not None and measure is not None:
        return check, _result(check, rest.strip()) if rest.strip() else "", (measure, number)
    return check, _result(check, value.strip()), None


def typed_number(measure: Number, text: str) -> ReadingEntry | None:
    """A number as typed with its unit or without; None if it is none."""
    wanted = text.strip().replace("ohms", "Ω").replace("ohm", "Ω")
    for unit in sorted(measure.units, key=len, reverse=True):
        bare = wanted.removesuffix(unit).strip()
        if bare != wanted and reading_of(bare, unit) is not None:
            return ReadingEntry(bare, unit)
    is_number = wanted[:1].isdigit() or wanted[:1] in "<>."
    if is_number and reading_of(wanted, measure.units[0]) is not None:
        return ReadingEntry(wanted, measure.units[0])
    return None


def _result(check: Check, said: str) -> str:
    wanted = said.casefold()
    if wanted in ("-", "not-looked-at", NOT_LOOKED_AT):
        return NOT_LOOKED_AT
    for one in check.results:
        if wanted in (one.id.casefold(), one.text.casefold()):
            return one.id
    raise Trouble(
        say("“{said}” is no result of {check}.", said=said, check=check.name),
        do=say("Give one of: {known}.", known=_results(check)),
    )


def _results(check: Check) -> str:
    return ", ".join((*(one.id for one in check.results), "not-looked-at"))


def _known(name: str, known: Iterable[str], what: str) -> str:
    ids = list(known)
    if name in ids:
        return name
    near = get_close_matches(name, ids, n=1, cutoff=0.0)
    raise Trouble(
        say("“{name}” is no {what} we know.", name=name, what=what),
        do=say("The nearest one is {near}.", near=near[0]),
    )
