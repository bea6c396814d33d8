"""What is asked about something owed: an estimate that goes out, and who answered how."""

from functools import partial
from typing import Any

from servicedesk.desk import owed as owed_desk
from servicedesk.desk.estimates import WAYS, EstimateGoing, estimate_draft, send_estimate
from servicedesk.desk.office import Desk
from servicedesk.desk.owed import OwedLine
from servicedesk.desk.sitehistory import how_text
from servicedesk.window.widgets.paper_notice import PaperNotice
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import EntryForm
from servicedesk.words import say

ANSWER_WAYS = ("phone", "text", "email", "letter", "in person")


def ask_answer(form: EntryForm, desk: Desk, one: OwedLine, verb: str) -> None:
    """Who agreed or declined, and how."""
    title = say("Declined") if verb == "decline" else say("Approved")
    fields = (
        FieldSpec(name="by", label=say("By whom"), hint=say("Quillan, Ruth")),
        FieldSpec(name="how", label=say("How"), kind="choice",
                  options=tuple((way, how_text(way)) for way in ANSWER_WAYS)),
    )  # fmt: skip
    form.open_form(
        title,
        fields,
        {"how": "phone"},
        partial(_answer, desk, verb, one.row.id),
        button=title,
        hint=_hint(one),
        seen=one.row.revision,
    )


def ask_estimate(form: EntryForm, desk: Desk, one: OwedLine, notice: PaperNotice) -> None:
    """What the work comes to and how the estimate goes; then it is numbered and kept."""
    fields = (
        FieldSpec(name="amount_minor", label=say("Amount"), kind="money",
                  currency=desk.company.currency),
        FieldSpec(name="how", label=say("How"), kind="choice",
                  options=tuple((way, how_text(way)) for way in WAYS)),
        FieldSpec(name="to_whom", label=say("To whom"), kind="long",
                  hint=say("the owner, if nothing stands here")),
        FieldSpec(name="note", label=say("Also to know"), kind="long"),
        FieldSpec(name="only_look", label=say("Only look"), kind="tick",
                  hint=say("write a draft without a number; nothing has gone")),
    )  # fmt: skip
    form.open_form(
        say("Estimate"),
        fields,
        {"amount_minor": one.row.estimate_minor, "how": "letter", "only_look": False},
        partial(_estimate, notice, desk, one.row.id),
        button=say("Number it and write it"),
        hint=_hint(one),
        seen=one.row.revision,
    )


def _hint(one: OwedLine) -> str:
    return say("{address}: {what}", address=one.row.address, what=one.row.what)


def _answer(
    desk: Desk, verb: str, owed_id: int, values: dict[str, Any], seen: int | None
) -> object:
    """On the worker: what the owner said."""
    write = owed_desk.decline if verb == "decline" else owed_desk.approve
    return write(desk, owed_id, by=values["by"], how=values["how"], seen=seen)


def _estimate(
    notice: PaperNotice, desk: Desk, owed_id: int, values: dict[str, Any], seen: int | None
) -> object:
    """On the worker: the paper beside the store; numbered, kept and registered unless a draft."""
    from servicedesk.desk.places_on_disk import papers_folder
    from servicedesk.desk.report_mail import write_file

    folder = papers_folder(desk.store.place) / "estimates"
    amount = values["amount_minor"] or 0
    if values["only_look"]:
        name = f"draft-estimate-{owed_id}.pdf"
        write_file(folder / name, estimate_draft(desk, owed_id, amount_minor=amount))
        notice.written.emit((str(folder), name))
        return None
    going = EstimateGoing(
        amount_minor=amount, how=values["how"], to_whom=values["to_whom"] or "",
        note=values["note"] or "",
    )  # fmt: skip
    sent, changed = send_estimate(desk, owed_id, going, seen=seen)
    name = f"estimate-{sent.number}.pdf"
    write_file(folder / name, sent.pdf)
    notice.written.emit((str(folder), name))
    return changed
