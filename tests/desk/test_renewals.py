"""Renewals over a real store: sums worked out by hand before they were run."""

from datetime import date
from io import BytesIO

import pytest
from openpyxl import load_workbook

from servicedesk.desk.renew import let_end, renew, set_price
from servicedesk.desk.renewal_facts import done_work
from servicedesk.desk.renewals import kept_of_all, renewals
from servicedesk.desk.renewals_sheet import renewals_book, renewals_csv
from servicedesk.records.company import Company
from servicedesk.records.parts import Part, PartPrice
from servicedesk.records.sites import Site
from servicedesk.records.visits import PartLine
from servicedesk.values.money import Money
from servicedesk.values.trouble import Stopped, Trouble
from tests.builders import a_call, a_contract, a_done_visit, a_round, a_site, a_technician
from tests.exchange.reckon import Reckoner

YEAR = {"since": date(2027, 1, 1), "until": date(2028, 1, 1)}
POLICY = {
    "index_percent": 2, "margin_percent": 10, "cap_percent": 50, "round_to_minor": 100,
    "hour_cost_minor": 6000,
}  # fmt: skip


@pytest.fixture
def desk(file_desk):
    return priced(file_desk, **POLICY)


def priced(desk, **policy):
    with desk.store.change("Ines", "Wrote prices") as work:
        work.session.query(Company).one().price_policy = policy
    return desk


def a_contract_for_years(desk, address="118 Dry Hollow Lane", price=43000, **site):
    """Under contract since 2020, the one that runs ends on March 31, 2027."""
    site = a_site(desk, address, **site)
    old = a_contract(desk, site, from_on=date(2020, 4, 1), until_on=date(2026, 4, 1))
    now = a_contract(desk, site, price_minor=price, follows_id=old.id)
    return site, now


def a_part(desk, visit, cost, billing="contract", quantity=1):
    with desk.store.change("Ines", "Wrote a part") as work:
        part = work.add(Part(number=f"P{visit.id}{billing}", name="float"))
        work.add(PartPrice(part_id=part.id, from_on=date(2020, 1, 1), cost_minor=cost))
        work.add(
            PartLine(
                visit_id=visit.id, part_id=part.id, text="float", quantity=quantity, billing=billing
            )
        )


def only(page):
    (line,) = page.lines
    return line


def test_cost_of_a_site_without_a_position_worked_by_hand(desk):
    site, now = a_contract_for_years(desk)
    first = a_done_visit(desk, site, date(2026, 5, 4), minutes=40, travel_min=20)
    a_done_visit(desk, site, date(2026, 8, 4), minutes=50, travel_min=30)
    a_done_visit(desk, site, date(2026, 9, 1), minutes=60, travel_min=30, kind_of="callback")
    a_part(desk, first, 900, quantity=2)
    line = only(renewals(desk, **YEAR))

    # a dollar a minute: 40 + 50 of work, 20 + 30 of road, a call of 60 + 30, two parts at 9
    cost = line.this_year
    assert (cost.labor_minor, cost.road_minor, cost.calls_minor) == (9000, 5000, 9000)
    assert (cost.parts_minor, cost.total_minor, line.kept_minor) == (1800, 24800, 43000 - 24800)
    # three visits of 45 and 25 minutes; parts of three years over three years
    following = line.next_year
    assert (following.labor_minor, following.road_minor, following.parts_minor) == (
        13500,
        7500,
        600,
    )
    # one call in three years and a fleet of this one site: a third of a call of 90 minutes
    assert following.calls_minor == pytest.approx(3000, rel=0.01)
    assert (line.n_calls, line.ends_on, line.number) == (1, date(2027, 3, 31), now.number)
    assert line.price.next_minor == 43900  # 438.60 by the index covers 246 and a tenth


def test_billed_work_and_the_maker_s_parts_cost_nothing(desk):
    site, _ = a_contract_for_years(desk)
    call = {"billing": "billable"}
    a_done_visit(desk, site, date(2026, 9, 1), kind_of="callback", job=call, travel_min=30)
    visit = a_done_visit(desk, site, date(2026, 8, 4), minutes=50, travel_min=30)
    a_part(desk, visit, 900, "billable")
    a_part(desk, visit, 900, "warranty")
    line = only(renewals(desk, **YEAR))

    assert (line.this_year.total_minor, line.n_calls) == (8000, 0)


def test_calls_of_a_storm_cost_but_teach_nothing(desk):
    from servicedesk.records.calls import Event

    site, _ = a_contract_for_years(desk)
    quiet = only(renewals(desk, **YEAR)).expected.calls
    with desk.store.change("Ines", "A storm") as work:
        storm = work.add(Event(what="storm", from_at=desk.clock.instant(date(2026, 9, 1), 0)))
    call = a_call(desk, site, event_id=storm.id, state="answered")
    a_done_visit(
        desk, site, date(2026, 9, 2), kind_of="callback", minutes=60, job={"call_id": call.id}
    )
    line = only(renewals(desk, **YEAR))

    assert line.expected.calls == pytest.approx(quiet)
    assert (line.n_calls, line.this_year.calls_minor) == (1, 6000)


def test_two_neighbors_share_a_round_and_the_far_one_pays_for_its_way(desk):
    # the office stands at 30 N, 94 W; two sites 0.1 degrees north of it, one at half the way
    near, _ = a_contract_for_years(desk, "1 Near Lane", lat_deg=30.05, lon_deg=-94.0)
    far, _ = a_contract_for_years(desk, "2 Far Lane", lat_deg=30.1, lon_deg=-94.0)
    twin, _ = a_contract_for_years(desk, "3 Far Lane", lat_deg=30.1, lon_deg=-94.0)
    lena, day = a_technician(desk), date(2026, 8, 4)
    out = a_round(desk, lena, day)
    for place, site in enumerate((near, far, twin), 1):
        a_done_visit(desk, site, day, minutes=30, travel_min=20, round_id=out.id, place=place,
                     technician=lena)  # fmt: skip
    lines = {line.address: line for line in renewals(desk, **YEAR).lines}
    road = [lines[a].this_year.road_min for a in ("1 Near Lane", "2 Far Lane", "3 Far Lane")]

    # Shapley by hand, out and back along a line: near third of half the way, the far ones the rest
    share = [1 / 6, 5 / 12, 5 / 12]
    assert [minutes / sum(road) for minutes in road] == pytest.approx(share, rel=0.01)
    home = 0.1 * 110.9 * desk.company.road_detour / desk.company.road_speed_kmh * 60
    assert sum(road) == pytest.approx(60 + home, rel=0.02)


def test_what_was_decided_shows(desk):
    _, kept = a_contract_for_years(desk, "1 Kept Lane")
    _, gone = a_contract_for_years(desk, "2 Gone Lane")
    _, hand = a_contract_for_years(desk, "3 Hand Lane")
    held, _ = a_contract_for_years(desk, "4 Held Lane")
    renew(desk, kept.id, Money(45000, "USD"))
    let_end(desk, gone.id, "sold")
    set_price(desk, hand.id, Money(46000, "USD"))
    with desk.store.change("Ines", "On hold") as work:
        work.get(Site, held.id).on_hold = True
    lines = {line.address: line for line in renewals(desk, **YEAR).lines}

    assert lines["1 Kept Lane"].decision == "renewed"
    assert lines["2 Gone Lane"].decision == "not_renew"
    assert lines["3 Hand Lane"].price.next_minor == 46000
    assert lines["4 Held Lane"].decision == "call_first"


def test_inspections_done_and_owed_are_those_of_the_windows(desk):
    site, _ = a_contract_for_years(desk)
    a_done_visit(desk, site, date(2026, 6, 4), travel_min=20)
    line = only(renewals(desk, **YEAR))

    assert (line.visits_done, line.visits_owed, line.decision) == (1, 2, "after_visit")


def test_nothing_is_made_up_where_nothing_is_written(desk):
    site = a_site(desk, "118 Dry Hollow Lane")
    a_contract(desk, site, from_on=date(2026, 7, 14), until_on=date(2027, 7, 14), price_minor=None)
    line = only(renewals(desk, **YEAR))

    assert (line.price, line.next_year, line.kept_minor) == (None, None, None)
    assert line.decision == "call_first"
    codes = [reason.code for reason in line.missing]
    assert codes == ["renewal_no_price", "renewal_no_cost", "renewal_short_watch"]


def test_missing_minutes_road_and_part_prices_are_counted(desk):
    site, _ = a_contract_for_years(desk)
    visit = a_done_visit(desk, site, date(2026, 8, 4), job={"minutes": None})
    a_part(desk, visit, None)
    codes = {reason.code: reason["n"] for reason in only(renewals(desk, **YEAR)).missing[1:]}

    assert codes == {"renewal_no_minutes": 1, "renewal_no_road": 1, "renewal_no_part_cost": 1}


def test_a_company_without_figures_prices_with_stated_assumptions(desk):
    a_contract_for_years(priced(desk))
    page = renewals(desk, **YEAR)

    assert {reason.code for reason in page.notes} >= {
        "policy_no_index", "policy_margin_percent_assumed", "policy_cap_percent_assumed",
        "policy_round_assumed", "assumed_hour", "policy_no_office",
    }  # fmt: skip


@pytest.mark.parametrize("policy", [
    {"index_percent": "much"}, {"margin_percent": -1}, {"round_to_minor": 0},
    {"hour_cost_minor": 12.5}, {"index_now": 100, "index_before": 0}, {"cap_percent": "NaN"},
])  # fmt: skip
def test_figures_nobody_can_price_with_are_named(desk, policy):
    a_contract_for_years(priced(desk, **policy))
    with pytest.raises(Trouble, match="no figure to price with"):
        renewals(desk, **YEAR)


def test_a_published_index_grows_a_price_by_its_ratio(desk):
    # cpi-fee: 25000 x 136.0 / 129.9 = 26173.98
    pair = {"index_now": "136.0", "index_before": "129.9", "round_to_minor": 1}
    a_contract_for_years(priced(desk, **pair), price=25000)

    assert only(renewals(desk, **YEAR)).price.next_minor == 26174


def test_the_span_bounds_the_day_the_next_term_begins(desk):
    a_contract_for_years(desk)
    day = date(2027, 4, 1)

    assert len(renewals(desk, since=day, until=date(2027, 4, 2)).lines) == 1
    assert len(renewals(desk, since=date(2027, 1, 1), until=day).lines) == 0
    with pytest.raises(Trouble, match="no days"):
        renewals(desk, since=day, until=day)


def test_it_can_be_stopped(desk):
    a_contract_for_years(desk)

    def stop(done, _total, _note=""):
        if done == 2:
            raise Stopped

    with pytest.raises(Stopped):
        renewals(desk, **YEAR, progress=stop)


def test_the_sheet_says_the_same_to_the_cent(desk):
    site, _ = a_contract_for_years(desk)
    a_done_visit(desk, site, date(2026, 5, 4), minutes=97, travel_min=33)
    page = renewals(desk, **YEAR)
    book = load_workbook(BytesIO(renewals_book(desk, page)))
    heads = {cell.value: cell.column_letter for cell in book["Renewals"][4]}
    reckoner, line = Reckoner(book), only(page)

    def shown(head):
        return round(reckoner.value("Renewals", f"{heads[head]}5") * 100, 6)

    assert shown("Next year") == line.price.next_minor
    assert shown("Cost next year") == line.next_year.total_minor
    assert shown("Kept this year") == line.kept_minor
    assert shown("Kept next year") == line.price.next_minor - line.next_year.total_minor
    text = renewals_csv(desk, page).decode("utf-8-sig").splitlines()
    assert len(text) == 2
    assert f"{line.price.next_minor / 100:.2f}" in text[1].split(",")
    assert len(text[0].split(",")) == len(heads)


def test_the_ladder_has_every_running_contract_worst_first_and_says_what_the_rows_say(desk):
    dear, _ = a_contract_for_years(desk, "2 Dear Lane", price=9000)
    a_contract_for_years(desk, "1 Fair Lane")
    gone = a_site(desk, "3 New Lane")  # watched for three months only
    a_contract(desk, gone, from_on=date(2026, 7, 14), until_on=date(2027, 7, 14), price_minor=1)
    a_done_visit(desk, dear, date(2026, 5, 4), minutes=100, travel_min=30)
    ladder = kept_of_all(desk, done_work(desk))

    # a dollar a minute: 90 less 130
    assert [(one.address, one.kept_minor) for one in ladder] == [
        ("2 Dear Lane", -4000),
        ("1 Fair Lane", 43000),
    ]
    lines = {line.contract_id: line.kept_minor for line in renewals(desk, **YEAR).lines}
    assert {one.contract_id: one.kept_minor for one in ladder}.items() <= lines.items()
