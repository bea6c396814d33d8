"""To bill: derived lines, nothing twice, states, out and back, hold over the limit."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO
from zoneinfo import ZoneInfo

import pytest
from openpyxl import load_workbook

from servicedesk.desk.bill_rates import set_bill_rates
from servicedesk.desk.bill_states import mark_billed, mark_paid, set_amount, waive
from servicedesk.desk.bills import bills
from servicedesk.desk.bills_out import bills_file, read_bills_back, take_back
from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.contract_sale import Sale, sell_house
from servicedesk.desk.renew import renew
from servicedesk.exchange.sheetfile import read_sheet_file
from servicedesk.records.company import Company
from servicedesk.records.parts import Part, PartPrice
from servicedesk.records.sites import Site
from servicedesk.records.visits import Job, PartLine
from servicedesk.values.clock import Clock
from servicedesk.values.money import Money
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TIME_ZONE,
    TODAY,
    a_contract,
    a_customer,
    a_done_visit,
    a_site,
)
from tests.conftest import NOW


def waiting(desk):
    """Keys and amounts of what is to be billed."""
    return [(one.key, one.amount_minor) for one in bills(desk).of_state("to bill")]


def a_billable_job(desk, site, price=13700, on=TODAY):
    visit = a_done_visit(
        desk, site, on, kind_of="callback", job={"billing": "billable", "price_minor": price}
    )
    with desk.store.read() as session:
        return session.query(Job).where(Job.visit_id == visit.id).one()


def a_part_line(desk, visit_id, **values):
    with desk.store.change("Ines", "Part") as work:
        return work.add(PartLine(visit_id=visit_id, text="float", billing="billable", **values))


def limit(desk, minor):
    with desk.store.change("Ines", "Limit") as work:
        work.session.query(Company).one().unpaid_limit_minor = minor


def on_hold(desk, site):
    with desk.store.read() as session:
        return session.get(Site, site.id).on_hold


def test_a_renewal_accepted_is_to_be_billed_once(desk):
    site = a_site(desk)
    old = a_contract(desk, site, from_on=date(2025, 11, 1), until_on=date(2026, 11, 1),
                     price_minor=37000)  # fmt: skip
    assert waiting(desk) == []  # it began before this store
    renew(desk, old.id, Money(38500, "USD"))

    assert waiting(desk) == [("contract-2-2026-11-01", 38500)]
    mark_billed(desk, ["contract-2-2026-11-01"], number="B-12")
    (line,) = bills(desk).lines
    assert (line.state, line.bill_number, line.billed_on) == ("billed", "B-12", TODAY)
    assert (line.customer, line.amount_minor) == ("Quillan, Ruth", 38500)


def test_each_year_is_a_line_as_it_begins_and_the_last_piece_costs_its_share(file_desk):
    a_contract(file_desk, a_site(file_desk), from_on=TODAY, until_on=date(2028, 4, 14),
               price_minor=36600)  # fmt: skip
    assert waiting(file_desk) == [("contract-1-2026-10-14", 36600)]

    # October 14, 2027 to April 13, 2028: 183 of the 366 days to October 13, 2028, half of 366.00
    zone = ZoneInfo(TIME_ZONE)
    later = replace(file_desk, clock=Clock(zone, date(2027, 10, 14), lambda: NOW))
    assert waiting(later)[1] == ("contract-1-2027-10-14", 18300)


def test_work_parts_and_trips_are_each_a_line(file_desk):
    site = a_site(file_desk)
    job = a_billable_job(file_desk, site)
    with file_desk.store.change("Ines", "Part") as work:
        part = work.add(Part(number="F-1", name="float"))
        for from_on, price in ((date(2026, 1, 1), 2100), (date(2026, 10, 15), 2500)):
            work.add(PartPrice(part_id=part.id, from_on=from_on, price_minor=price))
    a_part_line(file_desk, job.visit_id, part_id=part.id, quantity=2)
    a_part_line(file_desk, job.visit_id, part_id=part.id, price_minor=1900)
    a_part_line(file_desk, job.visit_id)
    vain = a_done_visit(
        file_desk, site, TODAY, job={"outcome": "could not", "could_not": "no access"}
    )
    a_done_visit(file_desk, site, TODAY, job={"outcome": "could not", "could_not": "weather"})

    # the catalogue's price of that day, not tomorrow's; one set by hand; one nobody knows
    assert waiting(file_desk) == [
        ("job-1", 13700), ("part-1", 4200), ("part-2", 1900), ("part-3", None)
    ]  # fmt: skip
    set_bill_rates(file_desk, trip_minor=4500)
    assert waiting(file_desk)[-1] == (f"trip-{vain.id}", 4500)  # the weather is nobody's fault
    assert bills(file_desk).sum_of("to bill") == 13700 + 4200 + 1900 + 4500


def test_what_lies_before_the_day_of_watching_is_left_alone(file_desk):
    a_billable_job(file_desk, a_site(file_desk), on=date(2026, 10, 1))
    assert waiting(file_desk) == []

    set_bill_rates(file_desk, since_on=date(2026, 9, 1))
    assert waiting(file_desk) == [("job-1", 13700)]


def test_a_line_without_an_amount_gets_one_first(file_desk):
    a_billable_job(file_desk, a_site(file_desk), price=None)
    with pytest.raises(Trouble, match="no amount yet"):
        mark_billed(file_desk, ["job-1"], number="B-1")
    set_amount(file_desk, "job-1", 9900)
    mark_billed(file_desk, ["job-1"], number="B-1")

    assert [(one.state, one.amount_minor) for one in bills(file_desk).lines] == [("billed", 9900)]


def test_what_is_billed_is_not_billed_again_and_says_what_it_would_be_now(file_desk):
    job = a_billable_job(file_desk, a_site(file_desk))
    mark_billed(file_desk, ["job-1"], number="B-1")
    with pytest.raises(Trouble, match="billed already"):
        mark_billed(file_desk, ["job-1"], number="B-2")
    with file_desk.store.change("Ines", "Price") as work:
        work.get(Job, job.id).price_minor = 15000

    (line,) = bills(file_desk).lines
    assert (line.amount_minor, line.now_minor) == (13700, 15000)


def test_wrong_entries_are_said(file_desk):
    a_billable_job(file_desk, a_site(file_desk))
    with pytest.raises(WrongEntry, match="number of the bill"):
        mark_billed(file_desk, ["job-1"], number=" ")
    with pytest.raises(WrongEntry, match="still to come"):
        mark_billed(file_desk, ["job-1"], number="B-1", on=date(2026, 10, 15))
    with pytest.raises(WrongEntry, match="why"):
        waive(file_desk, ["job-1"], why="")
    with pytest.raises(Trouble, match="no line of the list"):
        mark_paid(file_desk, ["job-77"])
    mark_billed(file_desk, ["job-1"], number="B-1", on=TODAY)
    with pytest.raises(Trouble, match="before it was billed"):
        mark_paid(file_desk, ["job-1"], on=date(2026, 10, 1))


def test_unpaid_over_the_limit_holds_the_site_until_it_is_paid(desk):
    site = a_site(desk)
    a_billable_job(desk, site, price=40000)
    a_billable_job(desk, site, price=20001)
    limit(desk, 60000)
    mark_billed(desk, ["job-1"], number="B-1")
    assert not on_hold(desk, site)
    changed = mark_billed(desk, ["job-2"], number="B-2")
    assert on_hold(desk, site)
    assert bills(desk).over == (site.id,)

    undo(desk, changed.change_id)
    assert not on_hold(desk, site)
    mark_billed(desk, ["job-2"], number="B-2")
    mark_paid(desk, ["job-1"])
    assert not on_hold(desk, site)


def test_a_hold_by_hand_stays_where_the_limit_is_not_crossed(file_desk):
    site = a_site(file_desk, on_hold=True)
    a_billable_job(file_desk, site)
    limit(file_desk, 60000)
    mark_billed(file_desk, ["job-1"], number="B-1")
    mark_paid(file_desk, ["job-1"])

    assert on_hold(file_desk, site)


def test_the_buyer_is_not_held_for_the_sellers_bill(file_desk):
    site = a_site(file_desk)
    a_billable_job(file_desk, site, price=70000)
    limit(file_desk, 60000)
    mark_billed(file_desk, ["job-1"], number="B-1")
    assert on_hold(file_desk, site)
    sell_house(file_desk, Sale(site_id=site.id, on=TODAY, buyer="Marsh, Ida"))

    assert not on_hold(file_desk, site)
    (line,) = bills(file_desk).lines
    assert (line.customer, line.state) == ("Quillan, Ruth", "billed")


def test_a_holder_who_is_nobody_at_the_site_holds_it_too(desk):
    site = a_site(desk)
    grange = a_customer(desk, "Tessing Grange")
    a_contract(desk, site, from_on=TODAY, until_on=date(2027, 10, 14), price_minor=70000,
               holder_id=grange.id)  # fmt: skip
    limit(desk, 60000)
    mark_billed(desk, ["contract-1-2026-10-14"], number="B-1")

    assert on_hold(desk, site)


@pytest.mark.parametrize("name", ["list.csv", "list.xlsx"])
def test_the_list_goes_out_and_its_states_come_back(file_desk, tmp_path, name):
    site = a_site(file_desk, "=1+1 Lane")
    for _ in range(4):
        a_billable_job(file_desk, site)
    page = bills(file_desk)
    path = tmp_path / name
    path.write_bytes(bills_file(file_desk, page, page.lines, name))
    table = read_sheet_file(path).tables[0]
    head = [str(value) for value in table.rows[0].values]
    row = table.rows[1]
    assert Decimal(row.text(head.index("Amount") + 1)) == 137  # 13700 cents
    assert read_bills_back(file_desk, path).n_same == 4

    # as a bookkeeper fills it in; the keys come back, in another order, one unknown
    edited = tmp_path / "back.csv"
    edited.write_text(
        "Key,State,Bill number,Billed on,Paid on,Waived why\n"
        "job-3,paid,77,2026-10-02,2026-10-14,\n"
        "job-1,Billed,78,10/13/2026,,\n"
        "job-2,waived,,,,gift\n"
        "job-4,billed,,,,\n"
        "job-99,paid,,,,\n"
        "job-1,paid,,,,\n"
    )
    back = read_bills_back(file_desk, edited)
    assert back.told == (
        "=1+1 Lane, Callback: to bill → paid (number 77, billed Oct 2, 2026, paid Oct 14, 2026)",
        "=1+1 Lane, Callback: to bill → billed (number 78, billed Oct 13, 2026)",
        "=1+1 Lane, Callback: to bill → waived (gift)",
    )
    assert back.unread == (
        "Row 5, “job-4”: it is billed, yet has no number",
        "Row 6, “job-99”: not a line of ours",
        "Row 7, “job-1”: twice in the list",
    )
    assert waiting(file_desk) != []  # nothing is written yet
    changed = take_back(file_desk, back)
    assert [(one.key, one.state) for one in bills(file_desk).lines] == [
        ("job-4", "to bill"), ("job-1", "billed"), ("job-3", "paid"), ("job-2", "waived"),
    ]  # fmt: skip
    undo(file_desk, changed.change_id)
    assert len(waiting(file_desk)) == 4


def test_the_workbook_has_typed_cells_a_filter_and_a_sum(file_desk):
    site = a_site(file_desk)
    a_billable_job(file_desk, site)
    a_billable_job(file_desk, site, price=None)
    page = bills(file_desk)
    sheet = load_workbook(BytesIO(bills_file(file_desk, page, page.lines, "b.xlsx"))).active

    head = [cell.value for cell in sheet[1]]
    money, day = head.index("Amount"), head.index("Day")
    amounts = {row[0].value: row[money].value for row in sheet.iter_rows(2, 3)}
    assert amounts == {"job-1": 137, "job-2": None}  # unknown stays empty, it is no zero
    assert sheet.cell(2, day + 1).value.date() == TODAY
    assert (sheet.freeze_panes, sheet.auto_filter.ref) == ("B2", "A1:M3")
    assert sheet.cell(5, money + 1).value == "=SUBTOTAL(109,G2:G3)"


def test_no_text_of_the_list_is_run_by_a_spreadsheet(file_desk):
    a_billable_job(file_desk, a_site(file_desk, "=1+1 Lane"))
    page = bills(file_desk)

    text = bills_file(file_desk, page, page.lines, "b.csv").decode("utf-8-sig")
    assert "'=1+1 Lane" in text


def test_a_list_without_our_headings_is_refused(file_desk, tmp_path):
    path = tmp_path / "other.csv"
    path.write_text("Name,Sum\nRuth,12\n")
    with pytest.raises(Trouble, match="no columns “Key” and “State”"):
        read_bills_back(file_desk, path)


def test_a_list_with_nothing_but_unreadable_rows_says_which(file_desk, tmp_path):
    a_billable_job(file_desk, a_site(file_desk))
    path = tmp_path / "back.csv"
    path.write_text("Key,State\njob-1,payed\njob-99,paid\n", encoding="utf-8")
    with pytest.raises(Trouble, match=r"2 rows of back.csv cannot be taken: Row 2.*payed.*Row 3"):
        take_back(file_desk, read_bills_back(file_desk, path))

    assert waiting(file_desk) == [("job-1", 13700)]
