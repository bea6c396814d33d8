"""Signatures under reports, as far as they still hold."""

from collections.abc import Mapping

from servicedesk.desk.corrections import changed_texts
from servicedesk.desk.office import Desk
from servicedesk.records import report_log_rows, sample_rows, writeup_rows
from servicedesk.records.sample_rows import SignatureRow


def signatures_of(desk: Desk, visits: Mapping[int, int]) -> dict[int, SignatureRow]:
    """Signatures that hold, by job; `visits` gives the visit of each job.

    One under a visit that was changed since holds no longer: nobody signed what it says now.
    """
    with desk.store.read() as session:
        found = sample_rows.signatures(session, visits)
        made = sample_rows.signed_in_change(session, [row.id for row in found.values()])
        since = {visits[job_id]: made.get(row.id, 0) for job_id, row in found.items()}
        touched = report_log_rows.touched_since(session, since)
        names = writeup_rows.technician_names(session) if touched else {}
    return {
        job_id: row
        for job_id, row in found.items()
        if not any(
            changed_texts(desk, one, names)
            for one in touched.get(visits[job_id], ())
            if one.job_id in (None, job_id)
        )
    }
