"""What is asked about lines of the list to bill, and the list out and back again."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

from servicedesk.desk.bill_rates import set_bill_rates
from servicedesk.desk.bill_states import mark_billed, mark_paid, set_amount, waive
from servicedesk.desk.bills import Bill, BillPage
from servicedesk.desk.bills_out import BillsBack, bills_file, read_bills_back
from servicedesk.desk.office import Desk
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.words import say


def billed_fields() -> tuple[FieldSpec, ...]:
    """Number and day of a bill."""
    return (
        FieldSpec(name="number", label=say("Bill number")),
        FieldSpec(name="on", label=say("Billed on"), kind="day"),
    )


def paid_fields() -> tuple[FieldSpec, ...]:
    """The day of a payment."""
    return (FieldSpec(name="on", label=say("Paid on"), kind="day"),)


def waive_fields() -> tuple[FieldSpec, ...]:
    """Why something is not billed."""
    return (FieldSpec(name="why", label=say("Why"), hint=say("our own mistake")),)


def amount_fields(currency: str) -> tuple[FieldSpec, ...]:
    """What a line comes to."""
    return (
        FieldSpec(name="amount_minor", label=say("Amount"), kind="money", currency=currency),
    )  # fmt: skip


def rate_fields(currency: str) -> tuple[FieldSpec, ...]:
    """The charge for a trip in vain, and from when on bills are watched."""
    return (
        FieldSpec(name="trip_minor", label=say("Trip in vain"), kind="money", currency=currency,
                  hint=say("none")),
        FieldSpec(name="since_on", label=say("Watched since"), kind="day",
                  hint=say("what lies before was billed elsewhere")),
    )  # fmt: skip


def write_billed(
    desk: Desk, keys: Sequence[str], values: dict[str, Any], _seen: int | None
) -> object:
    """On the worker: these lines are on a bill."""
    return mark_billed(desk, keys, number=values["number"] or "", on=values["on"])


def write_paid(
    desk: Desk, keys: Sequence[str], values: dict[str, Any], _seen: int | None
) -> object:
    """On the worker: these lines are paid."""
    return mark_paid(desk, keys, on=values["on"])


def write_waived(
    desk: Desk, keys: Sequence[str], values: dict[str, Any], _seen: int | None
) -> object:
    """On the worker: these lines are not billed."""
    return waive(desk, keys, why=values["why"] or "")


def write_amount(
    desk: Desk, keys: Sequence[str], values: dict[str, Any], _seen: int | None
) -> object:
    """On the worker: what the first of these lines comes to."""
    return set_amount(desk, keys[0], values["amount_minor"] or 0)


def write_rates(desk: Desk, values: dict[str, Any], _seen: int | None) -> object:
    """On the worker: the company's rates."""
    since: date | None = values["since_on"]
    return set_bill_rates(desk, trip_minor=values["trip_minor"] or 0, since_on=since)


def write_lists(desk: Desk, page: BillPage, lines: Sequence[Bill]) -> tuple[str, str]:
    """On the worker: the lines as workbook and as CSV beside the store: folder, workbook's name."""
    from servicedesk.desk.places_on_disk import papers_folder
    from servicedesk.desk.report_mail import write_file

    folder = papers_folder(desk.store.place) / "bills"
    names = [f"bills-{page.today.isoformat()}.{kind}" for kind in ("xlsx", "csv")]
    for name in names:
        write_file(folder / name, bills_file(desk, page, lines, name))
    return str(folder), names[0]


def read_back(desk: Desk, path: Path) -> BillsBack:
    """On the worker: what a list that came back says otherwise."""
    return read_bills_back(desk, path)
