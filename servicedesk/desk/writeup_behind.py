"""What was behind it: the four answers, what each asks, and what no fault found still owes."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from servicedesk.desk.checking import Wrong
from servicedesk.desk.writeup_agree import Said, disagreements
from servicedesk.desk.writeup_checks import NOT_LOOKED_AT, JobTrouble, speaks_for
from servicedesk.desk.writeup_notes import JobNotes, VisitNotes
from servicedesk.trade.faults import Knowledge
from servicedesk.words import say
from servicedesk.words.findings import BEHIND, KNOWN_BY, behind_text, known_by_text

PRESUMED, COULD_NOT_LOOK, ESTABLISHED, NO_FAULT = (
    "presumed",
    "could not look",
    "established",
    "no fault found",
)
WORKAROUNDS = ("patched", "reset only")


def behind_of(*, cause_id: str | None, known_by: str, no_fault_found: bool) -> str:
    """Which of the four answers a stored job gives, "" for none."""
    if no_fault_found:
        return NO_FAULT
    if cause_id:
        return PRESUMED if known_by == PRESUMED else ESTABLISHED
    return COULD_NOT_LOOK if known_by == COULD_NOT_LOOK else ""


def stored_as(behind: str, cause_id: str, known_by: str) -> tuple[str | None, str, bool]:
    """The cause, how it is known and *no fault found* as a job keeps them."""
    if behind == ESTABLISHED:
        return cause_id or None, known_by, False
    if behind == PRESUMED:
        return cause_id or None, PRESUMED, False
    return None, COULD_NOT_LOOK if behind == COULD_NOT_LOOK else "", behind == NO_FAULT


def check_names(known: Knowledge, ids: Iterable[str]) -> str:
    """Checks by name in one line."""
    named = (known.checks[one].name for one in ids if one in known.checks)
    return "; ".join(name.rstrip("?:") for name in named)


def behind_line(known: Knowledge, behind: str, cause_id: str | None) -> str:
    """An answer with its cause: "Cause presumed: Running toilet or leaking fixture"."""
    cause = known.causes.get(cause_id or "")
    words = behind_text(behind)
    return f"{words}: {cause.name}" if cause is not None else words


def wrong_trouble(notes: VisitNotes, troubles: Mapping[int, JobTrouble]) -> list[Wrong]:
    """What is wrong with the findings and with what is said to be behind them."""
    wrong: list[Wrong] = []
    for job in notes.jobs:
        trouble = troubles.get(job.job_id)
        if trouble is not None and job.outcome != "could not":
            wrong += _wrong_findings(job, trouble.known)
            wrong += _wrong_behind(job, trouble)
    jobs = [(job, troubles.get(job.job_id)) for job in notes.jobs]
    wrong += [_contrary(one, troubles[one.job_id].known) for one in disagreements(jobs)]
    return wrong


def _wrong_findings(job: JobNotes, known: Knowledge) -> Iterable[Wrong]:
    for check_id, said in job.findings.items():
        at = f"job:{job.job_id}:check:{check_id}"
        check = known.checks.get(check_id)
        if check is None:
            yield Wrong(at, say("“{id}” is no check we know.", id=check_id))
        elif said != NOT_LOOKED_AT and said not in {one.id for one in check.results}:
            ids = ", ".join((*(one.id for one in check.results), NOT_LOOKED_AT))
            yield Wrong(
                at,
                say("“{said}” is no result of {check}: {known}.",
                    said=said, check=check.name, known=ids),
            )  # fmt: skip


def _wrong_behind(job: JobNotes, trouble: JobTrouble) -> Iterable[Wrong]:
    at = f"job:{job.job_id}"
    behind = behind_of(
        cause_id=job.cause_id, known_by=job.cause_known_by, no_fault_found=job.no_fault_found
    )
    if job.behind and job.behind != behind:
        yield Wrong(
            f"{at}:cause", say("{behind}: say which cause.", behind=behind_text(job.behind))
        )
        return
    if not behind:
        if trouble.must_say:
            four = ", ".join(behind_text(one).lower() for one in BEHIND)
            yield Wrong(f"{at}:behind", say("Say what was behind it: {four}.", four=four))
        return
    if job.cause_id and job.cause_id not in trouble.known.causes:
        yield Wrong(f"{at}:cause", say("“{id}” is no cause we know.", id=job.cause_id))
    elif behind == ESTABLISHED:
        yield from _wrong_known_by(job, at, trouble.known)


def _wrong_known_by(job: JobNotes, at: str, known: Knowledge) -> Iterable[Wrong]:
    if job.cause_known_by not in (*KNOWN_BY, *OLD_KNOWN_BY):
        ways = ", ".join(known_by_text(one).lower() for one in KNOWN_BY)
        yield Wrong(f"{at}:known_by", say("Say how we know the cause: {ways}.", ways=ways))
        return
    cause_id = job.cause_id or ""
    spoke = any(speaks_for(known, cause_id, c, said) for c, said in job.findings.items())
    if job.cause_known_by == "a direct check" and not spoke:
        yield Wrong(
            f"{at}:known_by",
            say("No result written here speaks for this cause. Write the check that did, or say"
                " that the cause is presumed."),
        )  # fmt: skip
    elif job.fix == "reset only" and not spoke:
        yield Wrong(
            f"{at}:known_by",
            say("Freed, dried or reset and gone does not prove a cause: say that it is presumed."),
        )


OLD_KNOWN_BY = ("known before",)  # of older papers


def _contrary(one: Said, known: Knowledge) -> Wrong:
    check = known.checks[one.check]
    texts = {result.id: result.text for result in check.results}
    return Wrong(
        f"job:{one.job_id}:check:{one.check}",
        say("{check}: here “{mine}”, but {where} says “{other}”. Only one is so.",
            check=check.name, mine=texts.get(one.mine, one.mine), where=one.where,
            other=texts.get(one.other, one.other)),
    )  # fmt: skip


def with_missing(job: JobNotes, trouble: JobTrouble | None) -> JobNotes:
    """The same with every check that no fault found still owes named as *not looked at*."""
    if trouble is None or not job.no_fault_found:
        return job
    named = dict.fromkeys(trouble.missing(job.findings), NOT_LOOKED_AT)
    return replace(job, findings={**job.findings, **named})


def owed_sentence(names: str) -> str:
    """The line of owed work for checks that were not done before no fault found was said."""
    return say("No fault found; still to be checked: {names}", names=names)


def is_owed_sentence(text: str) -> bool:
    """Was this line written by `owed_sentence`?"""
    return text.startswith(owed_sentence("").strip())
