"""What the tests of a write-up share: notes of a visit, rows as they stand."""

from dataclasses import replace

from servicedesk.desk.writeup_form import visit_form
from servicedesk.desk.writeup_notes import JobNotes, VisitNotes
from servicedesk.records.visits import Job
from tests.builders import a_site, a_visit


def rows(desk, model, **where):
    with desk.store.read() as session:
        return session.query(model).filter_by(**where).order_by(model.id).all()


def the(desk, record):
    with desk.store.read() as session:
        return session.get(type(record), record.id)


def notes_for(desk, visit, *jobs, **more):
    """Notes of a visit from 9:05 to 9:50, its jobs done unless others are given.

    A callback of which nothing is said has a cause that is presumed.
    """
    form = visit_form(desk, visit.id)
    said = tuple(
        replace(job, cause_id="heavy-use-day", cause_known_by="presumed")
        if job.job_id in form.troubles
        and form.troubles[job.job_id].must_say
        and not (job.cause_known_by or job.no_fault_found)
        else job
        for job in jobs or [JobNotes(job_id=job.id) for job in form.jobs]
    )
    values = {"arrived_min": 545, "left_min": 590, **more}
    return VisitNotes(
        visit_id=visit.id, seen=form.written.visit.revision, jobs=tuple(said), **values
    )


def job_of(desk, visit, n=0):
    return rows(desk, Job, visit_id=visit.id)[n].id


def two_jobs(desk):
    site = a_site(desk)
    visit = a_visit(desk, site)
    with desk.store.change(desk.who, "One more job") as work:
        work.add(Job(visit_id=visit.id, kind_of="repair"))
    return visit
