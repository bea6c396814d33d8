"""Reports leave the house: numbered, kept byte for byte, written into the register."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.corrections import CorrectionOwed, corrections_owed
from servicedesk.desk.office import Desk
from servicedesk.desk.paper_kinds import (
    COULD_NOT_INSPECT,
    INSPECTION_REPORT,
    PUMP_OUT_REPORT,
    SALE_INSPECTION,
    SECOND_ATTEMPT,
    VISIT_REPORT,
)
from servicedesk.desk.report_attempts import attempts_of, could_not_paper, second_attempt_letter
from servicedesk.desk.report_content import (
    Corrects,
    Shared,
    Signed,
    facts_of,
    page_size,
    receiver_of,
    report_paper,
    shared_of,
    visited_on,
)
from servicedesk.desk.sale_inspection import sale_of
from servicedesk.desk.signatures import signatures_of
from servicedesk.desk.signing import signed_by
from servicedesk.desk.usual import REPORT_WAYS
from servicedesk.papers.inspection_report import report_pdf
from servicedesk.papers.report_rows import ReportPaper
from servicedesk.papers.sale_inspection import sale_paper
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.report_rows import JobFacts
from servicedesk.records.store import Changed
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

HOW = REPORT_WAYS
TO_KINDS = ("owner", "authority", "maker")


@dataclass(frozen=True, slots=True)
class Wanted:
    """A paper to make: about which job, for which kind of receiver (one of TO_KINDS).

    `letter`: the letter before the second attempt.
    """

    job_id: int
    to_kind: str
    letter: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """How papers leave: by which way, signed by whom, with which confirmation, on which day.

    `to_whom` empty: the name on the paper. `sent_on` None: today, now.
    """

    how: str
    signed_by: str = ""
    confirmation: str = ""
    to_whom: str = ""
    sent_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """A paper that left: its key, number, receiver, the name for its file, and its bytes."""

    paper_id: int
    number: int
    kind_of: str
    job_id: int
    to_kind: str
    to_whom: str
    to_email: str
    address: str
    visited_on: date
    sha256: str
    pdf: bytes
    uid: str

    @property
    def file_name(self) -> str:
        """A name for the file, safe on every system."""
        return f"report-{self.number}-{self.to_kind}.pdf"


def paper_kind(job: JobFacts, wanted: Wanted) -> str:
    """What kind of paper a job gets."""
    if wanted.letter:
        return SECOND_ATTEMPT
    if job.outcome == "could not":
        return COULD_NOT_INSPECT
    kinds = {
        "inspection": INSPECTION_REPORT,
        "pump-out": PUMP_OUT_REPORT,
        "sale": SALE_INSPECTION,
    }
    return kinds.get(job.kind, VISIT_REPORT)


def draft_pdf(desk: Desk, wanted: Wanted) -> bytes:
    """A report as it would leave now, marked as a draft, without a number. Nothing is written.

    Raises Trouble for a visit that did not take place.
    """
    job = _done(facts_of(desk, [wanted.job_id]), wanted)
    corrects = _correcting(desk, [job]).get((job.job_id, wanted.to_kind))
    shared = shared_of(desk)
    signed = _signers(desk, Leaving(how="email"), [job], shared)[job.job_id]
    paper = _paper(desk, job, wanted, shared, signed=signed, corrects=_corrects(desk, corrects))
    return report_pdf(paper, page_size(desk))


def send_reports(
    desk: Desk, wanted: Sequence[Wanted], leaving: Leaving, *, progress: Progress = quiet
) -> tuple[tuple[Sent, ...], Changed]:
    """Number, make and keep papers, and write into the register that they left.

    One change for all; if the run is stopped nothing is written (numbers taken are not given
    again). A visit changed since its report left gives a corrected report. Raises Trouble for a
    visit that did not take place and a signer without a valid license, WrongEntry for the form.
    """
    refuse(_wrong(leaving))
    facts = facts_of(desk, (one.job_id for one in wanted))
    jobs = [_done(facts, one) for one in wanted]
    shared = shared_of(desk)
    signers = _signers(desk, leaving, jobs, shared)
    correcting = _correcting(desk, jobs)
    numbers = _numbers(desk, len(wanted))
    made = []
    for n, (one, job, number) in enumerate(zip(wanted, jobs, numbers, strict=True)):
        progress(n, len(wanted), job.address)
        before = correcting.get((one.job_id, one.to_kind)) if not one.letter else None
        signed = signers[job.job_id]
        paper = _paper(
            desk,
            job,
            one,
            shared,
            number=number,
            signed=signed,
            corrects=_corrects(desk, before),
            to_whom=leaving.to_whom,
        )
        pdf = report_pdf(paper, page_size(desk))
        made.append((one, job, number, before, pdf, desk.store.content.put(pdf)))
    progress(len(wanted), len(wanted), say("Writing the register"))
    what = say_n("Sent {n} report", "Sent {n} reports", len(made))
    with desk.store.change(desk.who, what) as work:
        rows = [
            work.add(_row(desk, one, job, number, before, sha256, leaving, shared, signers))
            for one, job, number, before, _, sha256 in made
        ]
    sent = tuple(
        _sent(desk, row, one, job, pdf)
        for row, (one, job, _, _, pdf, _) in zip(rows, made, strict=True)
    )
    return sent, work.changed


def _wrong(leaving: Leaving) -> list[Wrong]:
    wrong = []
    if leaving.how not in HOW:
        ways = ", ".join(HOW)
        wrong.append(Wrong("how", say("Say how it goes: one of {ways}.", ways=ways)))
    if leaving.how == "own form" and not leaving.confirmation.strip():
        says = say("The authority's own form gives a confirmation number: write it down.")
        wrong.append(Wrong("confirmation", says))
    return wrong


def _done(facts: Mapping[int, JobFacts], wanted: Wanted) -> JobFacts:
    job = facts.get(wanted.job_id)
    if job is None:
        raise Trouble(
            say("That visit is not in the store any more."),
            do=say("Look under All changes; it can be done again there."),
            exit_code=3,
        )
    if job.outcome is None or job.arrived_at is None:
        raise Trouble(
            say("The visit at {address} is not written up yet.", address=job.address),
            do=say("Write it up first: Today, the stop, F."),
        )
    if wanted.letter and job.outcome != "could not":
        raise Trouble(
            say("The inspection at {address} was made: no letter is needed.", address=job.address),
            do=say("Send its report."),
        )
    return job


def _signers(
    desk: Desk, leaving: Leaving, jobs: Sequence[JobFacts], shared: Shared
) -> dict[int, Signed]:
    """Who signs each report: who is named now, else whoever signed it as it stands."""
    if leaving.signed_by.strip():
        now = signed_by(desk, leaving.signed_by, shared, on=leaving.sent_on or desk.today)
        return {job.job_id: now for job in jobs}
    kept = signatures_of(desk, {job.job_id: job.visit_id for job in jobs})
    return {
        job.job_id: Signed(name=kept[job.job_id].signed_by, license=kept[job.job_id].license)
        if job.job_id in kept
        else Signed()
        for job in jobs
    }


def _numbers(desk: Desk, n: int) -> list[int]:
    """Numbers of the register, never given twice, also where the run is stopped."""
    with desk.store.change(desk.who, say("Took numbers of the register")) as work:
        return [work.next_number("report") for _ in range(n)]


def _correcting(
    desk: Desk, jobs: Iterable[JobFacts]
) -> dict[tuple[int | None, str], CorrectionOwed]:
    found = corrections_owed(desk, visit_ids={job.visit_id for job in jobs})
    return {(one.report.job_id, one.report.to_kind): one for one in found}


def _corrects(desk: Desk, owed: CorrectionOwed | None) -> Corrects | None:
    if owed is None:
        return None
    return Corrects(
        number=owed.report.first_number,
        sent_on=desk.clock.day_of(owed.report.first_sent_at),
        changed=owed.changed,
    )


def _paper(
    desk: Desk,
    job: JobFacts,
    wanted: Wanted,
    shared: Shared,
    *,
    number: int | None = None,
    signed: Signed | None = None,
    corrects: Corrects | None = None,
    to_whom: str = "",
) -> ReportPaper:
    if wanted.letter:
        return second_attempt_letter(
            desk, job, attempts_of(desk, job), shared, number=number, signed=signed
        )
    if job.outcome == "could not":
        return could_not_paper(
            desk, job, attempts_of(desk, job), shared,
            to_kind=wanted.to_kind, number=number, signed=signed,
        )  # fmt: skip
    if job.kind == "sale":
        sale = sale_of(
            desk,
            job,
            shared,
            to_kind=wanted.to_kind,
            to_whom=to_whom,
            number=number,
            signed=signed,
            corrects=corrects,
        )
        return sale_paper(sale)
    return report_paper(
        desk, job, shared, to_kind=wanted.to_kind, number=number, signed=signed, corrects=corrects
    )


def _row(
    desk: Desk,
    wanted: Wanted,
    job: JobFacts,
    number: int,
    before: CorrectionOwed | None,
    sha256: str,
    leaving: Leaving,
    shared: Shared,
    signers: Mapping[int, Signed],
) -> PaperSent:
    on = visited_on(desk, job)
    whose = (None, job.technician_id)
    held = [one for one in shared.licenses if one.technician_id in whose and one.number]
    valid = [one.number for one in held if one.valid_on(on)]
    return PaperSent(
        number=number,
        kind_of=paper_kind(job, wanted),
        sha256=sha256,
        visit_id=job.visit_id,
        job_id=job.job_id,
        contract_id=job.contract_id,
        system_id=job.system_id,
        to_kind=wanted.to_kind,
        to_whom=leaving.to_whom.strip() or whom(desk, job, wanted.to_kind),
        how=leaving.how,
        sent_at=_sent_at(desk, leaving),
        confirmation=leaving.confirmation.strip(),
        signed_by=signers[job.job_id].name,
        licenses=valid,
        corrects_id=before.report.first_id if before is not None else None,
    )


def _sent_at(desk: Desk, leaving: Leaving) -> datetime:
    if leaving.sent_on is None or leaving.sent_on == desk.today:
        return desk.clock.now()
    return desk.clock.instant(leaving.sent_on, 12 * 60)


def whom(desk: Desk, job: JobFacts, to_kind: str) -> str:
    """The name of whom a paper goes to."""
    if to_kind == "authority":
        return job.authority.name if job.authority else say("permitting authority")
    if to_kind == "maker":
        return say("maker of the unit")
    party = receiver_of(job, visited_on(desk, job))
    return party.name if party else say("owner")


def _email(desk: Desk, job: JobFacts, to_kind: str) -> str:
    if to_kind == "authority":
        return job.authority.email if job.authority else ""
    party = receiver_of(job, visited_on(desk, job)) if to_kind == "owner" else None
    return party.email if party else ""


def _sent(desk: Desk, row: PaperSent, wanted: Wanted, job: JobFacts, pdf: bytes) -> Sent:
    return Sent(
        paper_id=row.id,
        number=row.number or 0,
        kind_of=row.kind_of,
        job_id=job.job_id,
        to_kind=wanted.to_kind,
        to_whom=row.to_whom or "",
        to_email=_email(desk, job, wanted.to_kind),
        address=job.address,
        visited_on=visited_on(desk, job),
        sha256=row.sha256 or "",
        pdf=pdf,
        uid=row.uid,
    )


def confirm(desk: Desk, paper_id: int, confirmation: str, *, seen: int | None = None) -> Changed:
    """Write the confirmation number that came back. Raises WrongEntry if there is none."""
    refuse([] if confirmation.strip() else [Wrong("confirmation", say("Write the number down."))])
    with desk.store.change(desk.who, say("Wrote the confirmation of a report")) as work:
        row = work.fresh(PaperSent, paper_id, seen=seen)
        row.confirmation = confirmation.strip()
    return work.changed


def sent_pdf(desk: Desk, paper_id: int) -> bytes:
    """The very bytes that left. Raises Trouble where they were never kept here, or are lost."""
    with desk.store.read() as session:
        row = session.get(PaperSent, paper_id)
        sha256 = row.sha256 if row is not None else None
    if sha256 is not None:
        try:
            return desk.store.content.get(sha256)
        except KeyError as error:
            raise Trouble(
                say("The file of that paper is missing from the store's folder."),
                do=say("Bring it back from a backup: servicedesk store restore."),
                exit_code=3,
            ) from error
    raise Trouble(
        say("No file was kept of that paper."),
        means=say("It was written into the register from elsewhere."),
    )
