"""Who signs a report: apart from who visited. A report nobody signed waits for its signature."""

from collections.abc import Iterable
from datetime import date

from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.office import Desk
from servicedesk.desk.report_content import Shared, Signed, facts_of, licenses_text, shared_of
from servicedesk.records import writeup_rows
from servicedesk.records.samples import ReportSignature
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n


def sign(desk: Desk, job_ids: Iterable[int], name: str) -> Changed:
    """Write that somebody signed the reports of these jobs today, with the license held.

    Raises WrongEntry without a name, Trouble for a visit that is not written up, and where the
    signer has no valid license.
    """
    refuse([] if name.strip() else [Wrong("signed_by", say("Write who signs."))])
    signer = signed_by(desk, name, shared_of(desk), on=desk.today)
    wanted = list(dict.fromkeys(job_ids))
    facts = facts_of(desk, wanted)
    for job_id in wanted:
        if job_id not in facts or facts[job_id].outcome is None:
            raise Trouble(
                say("There is no report to sign yet."), do=say("Write the visit up first.")
            )
    what = say_n(
        "{name} signed {n} report", "{name} signed {n} reports", len(wanted), name=signer.name
    )
    with desk.store.change(desk.who, what) as work:
        for job_id in wanted:
            work.add(
                ReportSignature(
                    job_id=job_id,
                    signed_by=signer.name,
                    license=signer.license,
                    signed_at=desk.clock.now(),
                )
            )
    return work.changed


def signed_by(desk: Desk, name: str, shared: Shared, *, on: date) -> Signed:
    """The signature of a person on a day; an empty name waits for the signature.

    Raises Trouble where licenses are written down for the signer, or for the company, and none
    is valid on that day.
    """
    if not name.strip():
        return Signed()
    technician = _technician_named(desk, name)
    held = [one for one in shared.licenses if one.technician_id == technician]
    if technician is None or not held:
        held = [one for one in shared.licenses if one.technician_id is None]
    valid = [one for one in held if one.valid_on(on)]
    if held and not valid:
        last = max((one.valid_until for one in held if one.valid_until), default=None)
        raise Trouble(
            say(
                "{name} has no license that is valid on {day}.",
                name=name.strip(),
                day=desk.formats.day(on, near=desk.today),
            ),
            means=say("The last one ended before {day}.", day=desk.formats.day(last)),
            do=say("Write the renewed license under Set up, or let somebody else sign."),
        )
    return Signed(name=name.strip(), license=licenses_text(valid))


def _technician_named(desk: Desk, name: str) -> int | None:
    with desk.store.read() as session:
        names = writeup_rows.technician_names(session)
    wanted = name.strip().casefold()
    return next((key for key, known in names.items() if known.casefold() == wanted), None)
