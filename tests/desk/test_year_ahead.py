"""Inspections of a year and the months to come over a real store, worked out by hand."""

from datetime import date
from io import BytesIO

import pytest
from pypdf import PdfReader

from servicedesk.desk.renew import let_end, renew
from servicedesk.desk.year_files import write_inspections, write_outlook
from servicedesk.desk.year_inspections import year_inspections
from servicedesk.desk.year_outlook import outlook
from servicedesk.desk.year_pumps import PUMP_AT_PERCENT, pump_csv, pump_list, pump_pdf
from servicedesk.records.company import Company
from servicedesk.records.visits import Job, ReadingRow
from servicedesk.values.money import Money
from servicedesk.values.trouble import Trouble
from tests.builders import a_contract, a_done_visit, a_site, a_technician

YEAR = {"first": date(2026, 1, 1), "until": date(2027, 1, 1)}


def a_year(desk, address="118 Dry Hollow Lane", **values):
    """Three inspections a year, on fixed windows that close Apr 30, Aug 31 and Dec 31."""
    site = a_site(desk, address)
    return site, a_contract(desk, site, from_on=date(2026, 1, 1), until_on=date(2027, 1, 1),
                            visits_a_year=3, price_minor=36500, **values)  # fmt: skip


def tried(desk, site, day, why):
    a_done_visit(desk, site, day, job={"outcome": "could not", "could_not": why})


def test_lateness_of_a_year_is_parted_by_whose_it_is(file_desk):
    ours, _ = a_year(file_desk, "1 Ours Lane")
    gate, _ = a_year(file_desk, "2 Gate Lane")
    a_done_visit(file_desk, ours, date(2026, 2, 1))
    a_done_visit(file_desk, ours, date(2026, 9, 10))  # ten days late, nobody had been there
    a_done_visit(file_desk, gate, date(2026, 2, 1))
    tried(file_desk, gate, date(2026, 8, 20), "no access")
    a_done_visit(file_desk, gate, date(2026, 9, 4))  # four days late, the gate was locked before
    found = year_inspections(file_desk, **YEAR)

    assert (found.total.done, found.total.late_ours, found.total.late_no_access) == (2, 1, 1)
    assert (found.total.owed, found.total.missed, found.total.all) == (2, 0, 6)
    assert [(one.address, one.late.ours, one.late.no_access) for one in found.late] == [
        ("1 Ours Lane", 10, 0),
        ("2 Gate Lane", 0, 4),
    ]
    by_month = {month.month: counts.all for month, counts in found.months if counts.all}
    assert by_month == {4: 2, 8: 2, 12: 2}


def test_no_time_is_no_want_of_access(file_desk):
    site, _ = a_year(file_desk)
    a_done_visit(file_desk, site, date(2026, 2, 1))
    tried(file_desk, site, date(2026, 8, 20), "no time")
    a_done_visit(file_desk, site, date(2026, 9, 4))

    assert year_inspections(file_desk, **YEAR).total.late_ours == 1


def test_income_runs_on_where_the_next_contract_is_signed(file_desk):
    a_technician(file_desk)
    _, now = a_year(file_desk)
    renew(file_desk, now.id, Money(73000, "USD"))
    seen = outlook(file_desk)
    by_month = {one.month: one for one in seen.months}

    # a dollar a day until the end of the year, two dollars a day after it
    assert by_month[date(2026, 11, 1)].signed_minor == 3000
    assert by_month[date(2027, 3, 1)].signed_minor == 6200
    assert {one.expected_minor for one in seen.months} == {0}
    assert seen.n_ending == 0


def test_what_may_be_renewed_is_expected_with_its_range_and_what_ends_is_not(file_desk):
    a_technician(file_desk)
    _, now = a_year(file_desk)
    seen = outlook(file_desk)
    march = next(one for one in seen.months if one.month == date(2027, 3, 1))
    share = seen.renewing.share  # nothing has ended yet: one half, from 0 to 1 of one contract

    assert (march.signed_minor, share) == (0, 0.5)
    assert march.low_minor == 0
    assert march.high_minor == pytest.approx(2 * march.expected_minor, abs=1)
    assert march.owed_expected == pytest.approx(0.5 * 3 / 12)
    let_end(file_desk, now.id, "sold")
    assert {one.expected_minor for one in outlook(file_desk).months} == {0}


def test_hours_are_those_of_working_days_from_today_on(file_desk):
    a_technician(file_desk)
    november = outlook(file_desk).months[1]

    # 21 working days of November 2026, eight hours and a half each after the half hour's break
    assert november.there_min == 21 * (9 * 60 - 30)


def readings(desk, site, *, percent, item="solids-share", unit="%"):
    for day, value in percent:
        a_done_visit(desk, site, day)
        with desk.store.change("Ines", "Read") as work:
            job = work.session.query(Job).order_by(Job.id.desc()).first()
            work.add(ReadingRow(job_id=job.id, item_id=item, value=str(value), unit=unit))


def test_a_tank_is_listed_in_the_month_in_which_its_line_reaches_the_limit(file_desk):
    site, _ = a_year(file_desk)
    readings(file_desk, site, percent=[(date(2024, 10, 14), 10), (date(2025, 10, 14), 16),
                                       (date(2026, 10, 14), 22)])  # fmt: skip
    (line,) = pump_list(file_desk, first=date(2026, 10, 1), until=date(2028, 10, 1)).lines

    # ten, and six points a year: 30 after 20 / 6 years, 1,217 days
    assert line.month == date(2028, 2, 1)
    assert line.forecast.a_year == pytest.approx(6.0, abs=0.01)
    text = pump_csv(file_desk, pump_list(file_desk, first=date(2026, 10, 1),
                                         until=date(2028, 10, 1))).decode("utf-8-sig")  # fmt: skip
    assert "118 Dry Hollow Lane" in text.splitlines()[1]


def test_a_tank_over_the_limit_stands_in_the_first_month_and_a_pump_out_takes_it_away(file_desk):
    site, _ = a_year(file_desk)
    percent = [(date(2025, 10, 14), 28), (date(2026, 10, 1), 34)]
    readings(file_desk, site, percent=percent)
    span = {"first": date(2026, 10, 1), "until": date(2027, 10, 1)}
    (line,) = pump_list(file_desk, **span).lines
    assert (line.month, line.is_over) == (date(2026, 10, 1), True)

    a_done_visit(file_desk, site, date(2026, 10, 10), kind_of="pump-out")
    assert pump_list(file_desk, **span).lines == ()


def test_depths_of_one_visit_make_a_share_and_mixed_units_make_none(file_desk):
    site, _ = a_year(file_desk)
    for n, day in enumerate((date(2025, 10, 14), date(2026, 10, 1))):
        a_done_visit(file_desk, site, day)
        with file_desk.store.change("Ines", "Read") as work:
            job = work.session.query(Job).order_by(Job.id.desc()).first()
            for item, value in (("sludge-depth", 9 + 3 * n), ("scum-depth", 3),
                                ("liquid-depth", 48)):  # fmt: skip
                work.add(ReadingRow(job_id=job.id, item_id=item, value=str(value), unit="in"))
    found = pump_list(file_desk, first=date(2026, 10, 1), until=date(2027, 10, 1))
    # 12 and 15 of 48 inches: 25 % and 31.25 %
    assert found.lines[0].forecast.last.percent == pytest.approx(31.25)

    with file_desk.store.change("Ines", "A slip") as work:
        for row in work.session.query(ReadingRow).filter_by(item_id="liquid-depth"):
            row.unit = "cm"
    assert pump_list(file_desk, first=date(2026, 10, 1), until=date(2027, 10, 1)).n_read == 0


def test_the_company_s_own_limit_is_used_and_one_nobody_can_reckon_with_is_told(file_desk):
    assert pump_list(file_desk, **YEAR).limit_percent == PUMP_AT_PERCENT
    for own, is_good in ((25, True), ("a lot", False), (0, False)):
        with file_desk.store.change("Ines", "Wrote it") as work:
            work.session.query(Company).one().price_policy = {"pump_at_percent": own}
        if is_good:
            assert pump_list(file_desk, **YEAR).limit_percent == 25
            continue
        with pytest.raises(Trouble, match="no percentage"):
            pump_list(file_desk, **YEAR)


def test_papers_and_lists_say_what_the_screen_says(file_desk):
    a_technician(file_desk)
    site, _ = a_year(file_desk)
    readings(file_desk, site, percent=[(date(2025, 10, 14), 28), (date(2026, 10, 1), 34)])
    seen = outlook(file_desk)
    text = " ".join(
        page.extract_text() for page in PdfReader(BytesIO(pump_pdf(file_desk, seen.pumps))).pages
    )
    assert "118 Dry Hollow Lane" in text
    assert "at the limit already" in " ".join(text.split())

    _, names, _ = write_outlook(file_desk, seen)
    assert sorted(name.split("-")[0] for name in names) == ["outlook", "outlook", "pump", "pump"]
    _, names, _ = write_inspections(file_desk, year_inspections(file_desk, **YEAR))
    assert len(names) == 2


def test_what_nothing_can_fill_any_more_was_never_done_and_it_was_us(file_desk):
    site = a_site(file_desk, "3 Gone Lane")
    a_contract(file_desk, site, from_on=date(2025, 7, 1), until_on=date(2026, 7, 1),
               visits_a_year=3)  # fmt: skip
    a_done_visit(file_desk, site, date(2025, 9, 1))
    tried(file_desk, site, date(2026, 2, 20), "refused")
    found = year_inspections(file_desk, **YEAR)

    # windows to the end of October, February and June; somebody stood there in vain in February
    assert (found.total.missed_ours, found.total.missed_no_access) == (1, 1)
    assert found.total.all == 2
    assert all(one.is_missed for one in found.late)


def test_a_contract_that_ends_within_a_month_owes_its_share_of_that_month(file_desk):
    a_technician(file_desk)
    site = a_site(file_desk)
    a_contract(file_desk, site, from_on=date(2025, 12, 16), until_on=date(2026, 12, 16),
               visits_a_year=3, price_minor=36500)  # fmt: skip
    months = {one.month: one for one in outlook(file_desk).months}

    # sixteen of 31 days at one half of three visits a year
    assert months[date(2026, 12, 1)].owed_expected == pytest.approx(0.5 * 3 / 12 * 16 / 31)
    assert months[date(2026, 12, 1)].n_ending == 1
    assert months[date(2027, 1, 1)].owed_expected == pytest.approx(0.5 * 3 / 12)
