"""What is asked about a row of the last days: how a paper goes, who signs, a sample, a result."""

from collections.abc import Sequence
from typing import Any

from servicedesk.desk.deadline_line import DeadlineLine
from servicedesk.desk.due_acts import (
    HOW,
    Outgoing,
    mail_drafts,
    mark_sent,
    send_all,
    sign_report,
)
from servicedesk.desk.office import Desk
from servicedesk.desk.samples import NewSample, lab_tests, system_at, take_sample, write_result
from servicedesk.desk.sitehistory import how_text
from servicedesk.values.progress import Progress, quiet
from servicedesk.window.widgets.paper_notice import PaperNotice
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.site_named import site_found
from servicedesk.words import say


def how_field() -> FieldSpec:
    return FieldSpec(name="how", label=say("How"), kind="choice",
                     options=tuple((how, _how_text(how)) for how in HOW))  # fmt: skip


def _how_text(how: str) -> str:
    return say("the authority's own form") if how == "own form" else how_text(how)


def paper_fields(line: DeadlineLine) -> tuple[FieldSpec, ...]:
    found = [
        FieldSpec(name="to_whom", label=say("To whom"), hint=say("as the paper says")),
        FieldSpec(name="signed_by", label=say("Signed by"), hint=say("empty: not signed yet")),
        FieldSpec(name="confirmation", label=say("Confirmation number"), hint=""),
    ]
    if len(line.receivers) > 1:
        named = zip(line.receivers, line.to, strict=True)
        options = (("", say("all of them")), *named)
        found.insert(0, FieldSpec(name="receiver", label=say("Receiver"), kind="choice",
                                  options=options))  # fmt: skip
    return tuple(found)


def _going(values: dict[str, Any], how: str) -> Outgoing:
    return Outgoing(
        how=values.get("how", how),
        receiver=values.get("receiver") or "",
        to_whom=values.get("to_whom") or "",
        signed_by=values.get("signed_by") or "",
        confirmation=values.get("confirmation") or "",
    )


def write_sent(desk: Desk, line: DeadlineLine, values: dict[str, Any], _seen: int | None) -> object:
    """On the worker: number and register."""
    return mark_sent(desk, line, _going(values, "email"))


def write_mail(
    notice: PaperNotice, desk: Desk, line: DeadlineLine, values: dict[str, Any], _seen: int | None
) -> object:
    """On the worker: number, register, and write the drafts; the notice hears of it by a signal."""
    written, changed = mail_drafts(desk, line, _going(values, "email"))
    notice.written.emit(written)
    return changed


def sign_fields() -> tuple[FieldSpec, ...]:
    """Who signs."""
    return (FieldSpec(name="signed_by", label=say("Signed by"), hint=say("Nell Sallow")),)


def write_signature(
    desk: Desk, line: DeadlineLine, values: dict[str, Any], _seen: int | None
) -> object:
    """On the worker: sign the report."""
    return sign_report(desk, line, values.get("signed_by") or "")


def sample_fields(laboratories: Sequence[tuple[int, str]]) -> tuple[FieldSpec, ...]:
    """A sample as it is taken."""
    none: tuple[tuple[Any, str], ...] = ((None, say("none named")),)
    return (
        FieldSpec(name="site", label=say("Site"), hint=say("street, owner or number")),
        FieldSpec(name="item_id", label=say("Tested for"), kind="choice", options=lab_tests()),
        FieldSpec(name="taken_on", label=say("Taken on"), kind="day"),
        FieldSpec(name="taken_by", label=say("Taken by")),
        FieldSpec(name="laboratory_id", label=say("Laboratory"), kind="choice",
                  options=(*none, *laboratories)),
        FieldSpec(name="laboratory_number", label=say("Its number there")),
        FieldSpec(name="system", label=say("Which system"), hint=say("only where several stand")),
    )  # fmt: skip


def write_sample(desk: Desk, values: dict[str, Any], _seen: int | None) -> object:
    """On the worker: find the site and its system, then write the sample."""
    entry = dict(values)
    site_id = site_found(desk, entry.pop("site") or "")
    system_id = system_at(desk, site_id, entry.pop("system") or "")
    return take_sample(
        desk,
        NewSample(
            system_id=system_id,
            item_id=entry["item_id"],
            taken_on=entry["taken_on"] or desk.today,
            taken_by=entry.get("taken_by") or "",
            laboratory_id=entry.get("laboratory_id"),
            laboratory_number=entry.get("laboratory_number") or "",
        ),
    )


def result_fields() -> tuple[FieldSpec, ...]:
    """What the laboratory found."""
    return (
        FieldSpec(name="value", label=say("Result"), hint=say("12, <2, too many")),
        FieldSpec(name="known_on", label=say("Known on"), kind="day"),
    )


def write_lab_result(
    desk: Desk, line: DeadlineLine, values: dict[str, Any], _seen: int | None
) -> object:
    """On the worker: write the result of the row's sample."""
    if line.sample_id is None:
        raise ValueError(f"{line.what}: no sample stands behind it")
    return write_result(
        desk, line.sample_id, values.get("value") or "", known_on=values.get("known_on")
    )


def all_fields() -> tuple[FieldSpec, ...]:
    """How all reports that are owed go out in one run."""
    receivers = (
        ("", say("all of them")),
        ("owner", say("owners")),
        ("authority", say("authorities")),
    )
    return (
        how_field(),
        FieldSpec(name="receiver", label=say("Receivers"), kind="choice", options=receivers),
        FieldSpec(name="signed_by", label=say("Signed by"),
                  hint=say("empty: as each was signed")),
        FieldSpec(name="confirmation", label=say("Confirmation number")),
    )  # fmt: skip


def write_all_sent(
    notice: PaperNotice,
    desk: Desk,
    lines: Sequence[DeadlineLine],
    values: dict[str, Any],
    _seen: int | None,
    progress: Progress = quiet,
) -> object:
    """On the worker, with progress and a way to stop: every report of these rows."""
    written, changed = send_all(desk, lines, _going(values, "email"), progress=progress)
    notice.written.emit(written)
    return changed
