"""What a stop needs and what can hurt there: parts and cautions of its jobs and its trouble."""

from collections.abc import Iterable

from servicedesk.desk.stop_digest import StopDigest
from servicedesk.records import planning_rows as rows
from servicedesk.trade.cautions import cautions_for_jobs


def cautions_of_the_day(visits: Iterable[rows.VisitRow]) -> tuple[str, ...]:
    """The cautions of two stops or more: in full on top, instead of again at each stop."""
    times: dict[str, int] = {}
    for visit in visits:
        for text in cautions_for_jobs(job.kind for job in visit.jobs):
            times[text] = times.get(text, 0) + 1
    return tuple(text for text, n in times.items() if n > 1)


def stop_cautions(
    visit: rows.VisitRow, digest: StopDigest | None, on_top: Iterable[str]
) -> tuple[str, ...]:
    """Cautions at a stop: of the check that goes first, always; of its jobs, unless `on_top`."""
    above = set(on_top)
    of_jobs = cautions_for_jobs(job.kind for job in visit.jobs)
    of_check = digest.cautions if digest is not None else ()
    return tuple(dict.fromkeys((*of_check, *(text for text in of_jobs if text not in above))))


def parts_to_bring(owed_needs: Iterable[str], digest: StopDigest | None) -> tuple[str, ...]:
    """What owed work and a trouble's likeliest causes need, each part once."""
    named = [part.strip() for needs in owed_needs for part in needs.split(",")]
    named += digest.bring if digest is not None else ()
    once: dict[str, str] = {}
    for part in named:
        if part:
            once.setdefault(part.casefold(), part)
    return tuple(once.values())
