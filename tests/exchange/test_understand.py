"""Whole lists from file to understood rows, over the sample sheets and small lists."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from servicedesk.exchange.columns import propose
from servicedesk.exchange.names import ORGANISATION
from servicedesk.exchange.positions import Doubt, WorkArea
from servicedesk.exchange.understand import understand
from servicedesk.exchange.understood import Answers, Outcome, Severity
from servicedesk.values.money import Money
from servicedesk.values.position import Position
from servicedesk.values.trouble import Stopped
from tests.exchange.lists import TODAY, a_layout, a_mapping, codes, read_list, row_of

OFFICE = "office_list.xlsx"
CP1252 = "visits_cp1252.csv"


def complaints(result, severity=None):
    return [
        (c.ref or c.row, c.severity) for c in result.complaints if severity in (None, c.severity)
    ]


# the workbook of an office


def test_every_system_of_the_office_is_a_row_and_two_share_a_site():
    result = read_list(OFFICE)

    assert (len(result.rows), result.n_sites) == (21, 20)
    one, two = row_of(result, "1044", "TC-2018-0150"), row_of(result, "1044", "TC-2018-0151")
    assert one.site == two.site
    assert (one.system_kind, two.system_kind) == ("ATU 1500", "ATU 750")


def test_the_first_row_of_the_office_is_read_in_full():
    row = row_of(read_list(OFFICE), "1042")

    assert (row.owner.family, row.owner.given, row.address, row.locality) == (
        "Quillan",
        "Ruth",
        "3 Heron Bank",
        "Sallow Fork",
    )
    assert [(p.e164, p.label) for p in row.phones] == [
        ("+18025550142", "home"),
        ("+18025550177", "mobile"),
    ]
    assert row.emails == ("ruth@quillan.example",)
    assert row.position == Position(37.033, -58.0855)
    assert (row.permit, row.dispersal, row.bedrooms, row.gallons_day) == (
        "TC-2019-0311",
        "spray",
        3,
        500,
    )
    assert (row.contract_from, row.contract_last_on) == (date(2026, 1, 1), date(2026, 12, 31))
    assert (row.visits_year.per_year, row.price.amount) == (3, Money(28500, "USD"))
    assert row.section == "NORTH AND WEST (Tobin)"
    assert row.source("phone") == "F6"
    assert row.rows == (6,)


def test_a_column_per_inspection_gives_a_visit_each():
    result = read_list(OFFICE)

    assert [v.on for v in row_of(result, "1042").past_visits] == [
        date(2025, 2, 11), date(2025, 6, 17), date(2025, 10, 8), date(2026, 2, 10), date(2026, 6, 9)
    ]  # fmt: skip
    locked = row_of(result, "1043").past_visits[-1]
    assert (locked.on, locked.outcome, locked.text) == (
        date(2026, 7, 14),
        Outcome.COULD_NOT,
        "no access, gate locked",
    )
    assert sum(len(row.past_visits) for row in result.rows) == 101


def test_gate_codes_are_kept_apart_from_everything_else():
    row = row_of(read_list(OFFICE), "1042")

    assert row.secret.split() == ["gate", "4821#"]
    assert "4821" not in repr(row).replace(repr(row.secret), "")


def test_a_gate_code_in_a_note_is_taken_out_of_it():
    row = row_of(read_list("strangers_twelve.csv"), "H-03")

    assert "3391" in row.secret
    assert "3391" not in row.notes
    assert "close it" in row.notes


def test_what_the_office_left_open_is_asked_once_each():
    result = read_list(OFFICE)

    assert codes(result) == ["swap_latlon", "area_code"]
    swap, area_code = result.questions
    assert (swap.examples, swap.refs) == (("-58.06540, 36.93120",), ("H22",))
    assert (area_code.examples, area_code.suggestion) == (("555-0121",), "802")


def test_answers_settle_the_questions_and_nothing_else_changes():
    before = read_list(OFFICE)
    after = read_list(OFFICE, swap_latlon=True, area_code="802")

    assert codes(after) == []
    assert row_of(before, "1061").position is None
    assert row_of(before, "1061").position_doubt is Doubt.SWAPPED
    assert row_of(after, "1061").position == Position(36.9312, -58.0654)
    assert row_of(after, "1047").phones[0].e164 == "+18025550121"
    same = [row for row in before.rows if row.own_number not in ("1061", "1047")]
    assert same == [row for row in after.rows if row.own_number not in ("1061", "1047")]


def test_an_area_code_that_nobody_gives_leaves_the_number_as_typed():
    result = read_list(OFFICE, area_code="")

    assert "area_code" not in codes(result)
    assert ("F10", Severity.WARN) in complaints(result)
    assert row_of(result, "1047").phones[0].typed == "555-0121"


def test_left_as_written_a_far_position_stays_doubtful():
    row = row_of(read_list(OFFICE, swap_latlon=False), "1061")

    assert row.position == Position(-58.0654, 36.9312)
    assert row.position_doubt is Doubt.FAR


def test_a_wrong_phone_never_costs_the_row():
    result = read_list(OFFICE)
    row = row_of(result, "1051")

    assert (row.phones[0].typed, row.phones[0].e164) == ("802-155-0133", None)
    assert ("F14", Severity.WARN) in complaints(result)


def test_doubtful_intervals_are_asked_about_in_their_row():
    result = read_list(OFFICE)

    assert complaints(result, Severity.ASK) == [
        ("P14", Severity.ASK),
        ("P27", Severity.ASK),
        ("P28", Severity.ASK),
    ]


def test_the_list_without_positions_is_the_same_but_for_them():
    with_, without = read_list(OFFICE), read_list("office_list_without_positions.xlsx")

    assert without.n_placed == 0
    assert with_.n_placed == 18
    assert [r.owner for r in with_.rows] == [r.owner for r in without.rows]
    assert [[v.on for v in r.past_visits] for r in with_.rows] == [
        [v.on for v in r.past_visits] for r in without.rows
    ]


# several lines a site, code page 1252, semicolons


def test_the_order_of_day_and_month_is_asked_once_with_examples():
    result = read_list(CP1252)

    assert codes(result) == ["day_first"]
    assert "03.02.2025" in result.questions[0].examples
    assert all(
        visit.on is None or visit.on.day == visit.on.month
        for row in result.rows
        for visit in row.past_visits
    )
    assert row_of(result, "2001").contract_from is None


@pytest.mark.parametrize(
    ("day_first", "first"), [(True, date(2025, 2, 3)), (False, date(2025, 3, 2))]
)
def test_the_answer_decides_every_date(day_first, first):
    result = read_list(CP1252, day_first=day_first)

    assert codes(result) == []
    assert result.day_first is day_first
    assert row_of(result, "2001").past_visits[0].on == first


def test_lines_about_one_system_are_one_row_with_its_visits():
    result = read_list(CP1252, day_first=True)
    row = row_of(result, "2001")

    assert row.rows == (2, 3, 4)
    assert [(v.on, v.kind, v.technician) for v in row.past_visits] == [
        (date(2025, 2, 3), "inspection", "TH"), (date(2025, 6, 5), "inspection", "TH"), (date(2025, 10, 7), "call", "AQ")
    ]  # fmt: skip
    assert row.past_visits[2].text == "high level alarm, float freed"
    assert not complaints(result)


def test_lines_without_a_site_continue_the_one_above():
    row = row_of(read_list(CP1252, day_first=True), "2002")

    assert row.rows == (5, 6, 7, 8)
    assert [v.outcome for v in row.past_visits] == [
        Outcome.DONE,
        Outcome.COULD_NOT,
        Outcome.DONE,
        Outcome.DONE,
    ]


def test_two_permits_under_one_number_are_two_systems_at_one_site():
    result = read_list(CP1252, day_first=True)
    main, guest = row_of(result, "2004", "TC-2020-0031"), row_of(result, "2004", "TC-2020-0032")

    assert main.site == guest.site
    assert (len(result.rows), result.n_sites) == (9, 8)
    assert main.price.amount == Money(128500, "USD")
    assert guest.price.number == Decimal("285.00")


def test_letters_of_the_code_page_survive():
    result = read_list(CP1252)

    assert row_of(result, "2007").owner.family == "Núñez"
    assert row_of(result, "2001").notes == "Café bell – ring twice"


# a stranger's list


def test_a_strangers_twelve_sites_are_understood_without_a_question():
    result = read_list("strangers_twelve.csv")

    assert (len(result.rows), codes(result), complaints(result)) == (12, [], [])
    row = row_of(result, "H-08")
    assert row.owner.typed == "Pargeter, Roy"
    assert [p.e164 for p in row.phones] == ["+18025550179", "+18025550180"]
    assert (row.visits_year.per_year, row.contract_from) == (3, date(2020, 11, 2))
    assert [v.on for v in row.past_visits] == [date(2026, 8, 3)]
    assert row_of(result, "H-04").owner.kind == ORGANISATION


# small lists


def test_one_deciding_date_spares_the_question():
    result = read_list(
        "Name,Address,Last visit\nQuillan,3 Heron Bank,3/4/2025\nPell,52 Ashpit Lane,3/14/2025\n"
    )

    assert (codes(result), result.day_first) == ([], False)
    assert result.rows[0].past_visits[0].on == date(2025, 3, 4)


def test_a_row_that_names_nothing_is_left_out_and_said():
    result = read_list(
        "Name,Address,Phone,Notes\nQuillan,3 Heron Bank,802-555-0142,\n,,802-555-0100,\n"
    )

    assert len(result.rows) == 1
    result = read_list("Name,Address,Bedrooms,GPD\n,,3,500\nQuillan,3 Heron Bank,3,500\n")
    assert complaints(result) == [(2, Severity.SKIP)]


def test_one_number_at_two_addresses_is_asked_and_not_joined():
    result = read_list("No,Name,Address\n7,Quillan,3 Heron Bank\n7,Pell,52 Ashpit Lane\n")

    assert len(result.rows) == 2
    assert result.rows[0].site != result.rows[1].site
    assert complaints(result) == [(3, Severity.ASK)]


def test_another_owner_at_the_same_address_is_asked():
    result = read_list(
        "No,Name,Address,Permit\n7,Quillan,3 Heron Bank,A1\n8,Pell,3 HERON BANK,A2\n"
    )

    assert (len(result.rows), result.n_sites) == (2, 1)
    assert complaints(result) == [(3, Severity.ASK)]


def test_a_row_wider_than_the_headings_is_asked_about():
    result = read_list(
        "Name,Address,Town\nQuillan,3 Heron Bank,Pinder\nPell,Lot 4, Heron Bank,Pinder\n"
    )

    assert complaints(result) == [("D3", Severity.ASK)]


def test_the_same_row_twice_counts_once():
    result = read_list(
        "Name,Address,Phone\nQuillan,3 Heron Bank,802-555-0142\nQuillan,3 Heron Bank,802-555-0142\n"
    )

    assert (len(result.rows), complaints(result)) == (1, [(3, Severity.WARN)])


def test_a_price_without_any_currency_is_asked():
    text = "Name,Address,Fee\nQuillan,3 Heron Bank,285\n"

    asked = read_list(text, currency="")
    answered = read_list(text, currency="", area_code=None)

    assert codes(asked) == codes(answered) == ["currency"]
    assert asked.rows[0].price.amount is None


def test_a_longitude_without_its_minus_is_asked_against_the_companys_area():
    text = "Name,Address,Lat,Lon\nQuillan,3 Heron Bank,37.03,58.08\n"
    area = WorkArea.around(Position(37.0, -58.0))

    assert codes(read_list(text, area=area)) == ["west"]
    assert read_list(text, area=area, west=True).rows[0].position == Position(37.03, -58.08)
    assert codes(read_list(text)) == []


def test_exchanged_positions_east_of_greenwich_are_exchanged_back():
    text = 'Name,Address,GPS\nQuillan,3 Heron Bank,"16.37, 48.21"\n'
    area = WorkArea.around(Position(48.0, 16.0))

    assert codes(read_list(text, area=area)) == ["swap_latlon"]
    row = read_list(text, area=area, swap_latlon=True).rows[0]
    assert (row.position, row.position_doubt) == (Position(48.21, 16.37), None)


def test_a_visit_in_the_future_and_an_impossible_day_are_complaints():
    result = read_list(
        "Name,Address,Visit 1 2026,Visit 2 2026\nQuillan,3 Heron Bank,2027-03-01,2/30/2026\n"
    )

    assert result.rows[0].past_visits == ()
    assert complaints(result) == [("C2", Severity.WARN), ("D2", Severity.WARN)]


def test_a_cross_under_a_month_is_a_visit_of_that_month():
    result = read_list(
        "Name,Address,Jan-25,May-25\nQuillan,3 Heron Bank,x,locked gate\nPell,5 Heron Bank,,ok\n"
    )

    assert complaints(result) == [("C1", Severity.WARN), ("D1", Severity.WARN)]
    january, may = result.rows[0].past_visits
    assert (january.on, january.precision, january.outcome) == (
        date(2025, 1, 1),
        "month",
        Outcome.DONE,
    )
    assert (may.on, may.outcome) == (date(2025, 5, 1), Outcome.COULD_NOT)
    assert len(result.rows[1].past_visits) == 1


def test_notes_of_a_line_per_visit_are_about_the_visit():
    result = read_list(
        "Customer,Service Address,Date,Type,Comment\n"
        "Quillan,3 Heron Bank,2025-03-04,Insp,ok\n"
        "Quillan,3 Heron Bank,2025-07-04,Alarm,float stuck\n"
        "Quillan,3 Heron Bank,2025-07-05,Insp,no access\n"
    )

    (row,) = result.rows
    assert row.notes == ""
    assert [(v.kind, v.text, v.outcome) for v in row.past_visits] == [
        ("Insp", "ok", Outcome.DONE), ("Alarm", "float stuck", Outcome.UNKNOWN), ("Insp", "no access", Outcome.COULD_NOT)
    ]  # fmt: skip


def test_a_contract_that_ends_before_it_begins_loses_its_end():
    result = read_list(
        "Name,Address,Contract start,Contract end\nQuillan,3 Heron Bank,2026-05-01,2025-04-30\n"
    )

    assert (result.rows[0].contract_from, result.rows[0].contract_last_on) == (
        date(2026, 5, 1),
        None,
    )
    assert complaints(result) == [(2, Severity.WARN)]


def test_columns_nobody_knows_are_kept():
    row = read_list("Name,Address,Shoe size\nQuillan,3 Heron Bank,44\n").rows[0]

    assert row.extras == (("Shoe size", "44"),)


def test_words_about_a_visit_without_a_day_are_kept():
    result = read_list(
        "Name,Address,Inspection date,Result\nQuillan,3 Heron Bank,soon,low chlorine\nPell,5 Heron Bank,2025-01-02,ok\n"
    )

    assert result.rows[0].past_visits == ()
    assert result.rows[0].extras == (("Inspection date", "soon"), ("Result", "low chlorine"))
    assert complaints(result) == [("C2", Severity.WARN)]


def test_a_corrected_mapping_is_followed():
    text = "Name,Address,Site\nQuillan,PO Box 1,3 Heron Bank\n"

    row = read_list(text, mapping=a_mapping(text).with_choice(3, "address")).rows[0]

    assert row.address == "3 Heron Bank"
    assert row.extras == (("Address", "PO Box 1"),)


def test_keys_to_recognize_a_row_by_stand_in_order():
    row = row_of(read_list(OFFICE), "1042")

    assert [kind for kind, _text in row.keys] == ["own_number", "permit", "name_address"]


def test_headings_nobody_knows_are_asked_about():
    result = read_list("alpha,beta,gamma\nQuillan R,Heron Bank,x\nPell T,Ashpit Lane,y\n")

    assert "header_row" in codes(result)


def test_zip_codes_get_their_zero_back():
    row = read_list("Name,Address,Zip\nQuillan,3 Heron Bank,7030\n").rows[0]

    assert row.postcode == "07030"


def test_reading_can_be_stopped():
    def stop(done, total, note=""):
        raise Stopped

    layout = a_layout("Name,Address\nQuillan,3 Heron Bank\n")

    with pytest.raises(Stopped):
        understand(layout, propose(layout), Answers(), country="US", today=TODAY, progress=stop)


lines = st.lists(
    st.tuples(st.sampled_from(["", "1", "2", "3"]), st.sampled_from(["", "Quillan, Ruth", "Abbot Fen HOA"]),
              st.sampled_from(["", "3 Heron Bank", "5 Heron Bank"]), st.sampled_from(["", "A1", "A2"]),
              st.sampled_from(["", "2025-03-04", "3/4/2025", "x", "5/13/24 locked"]), st.text("abc12/.,-° ", max_size=12)),
    min_size=1, max_size=8,
)  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(lines)
def test_every_row_is_understood_left_or_complained_about(rows):
    body = "".join('"' + '","'.join(row) + '"\n' for row in rows)
    text = "No,Name,Address,Permit,Last visit,GPS\n99,Pell,9 Ashpit Lane,Z9,2025-01-02,\n" + body

    result = read_list(text)

    filled = {n for n, row in enumerate(rows, 3) if any(cell.strip() for cell in row)}
    told = {n for row in result.rows for n in row.rows} | {left.number for left in result.left}
    told |= {c.row for c in result.complaints if c.severity is Severity.SKIP}
    assert filled <= told
    assert read_list(text) == result
