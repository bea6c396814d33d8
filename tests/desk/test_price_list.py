"""A supplier's list: columns, differences, each fault by its line, one change, taken back."""

from datetime import timedelta

import pytest

from servicedesk.desk import parts
from servicedesk.desk.changes import undo
from servicedesk.desk.price_list import Ask, look_at_prices, supplier_named, take_prices
from servicedesk.desk.price_list_text import proposal_lines
from servicedesk.exchange.price_list import is_barcode
from servicedesk.records.people import Firm
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY
from tests.desk.price_lists import write_list

LONG_AGO = TODAY - timedelta(days=400)


@pytest.fixture
def shop(file_desk):
    """A supplier with two of our parts, one of another firm with the same number."""
    desk = file_desk
    with desk.store.change(desk.who, "Wrote firms") as work:
        beck, amber = (work.add(Firm(name=n)).id for n in ("Beck Supply", "Amber Electric"))
    made = {}
    for number, firm in (("B-1", beck), ("B-2", beck), ("A-1", amber)):
        changed = parts.write_part_and_price(
            desk,
            {"number": number, "name": number, "supplier_id": firm,
             "supplier_number": f"h{number[-1]}"},
            cost_minor=1000, price_minor=1600, from_on=LONG_AGO,
        )  # fmt: skip
        made[number] = next(iter(changed.rows["part"]))
    return desk, beck, made


def costs(desk, on=None):
    return {one.number: (one.cost_minor, one.price_minor) for one in parts.parts(desk, on=on)}


def test_differences_are_shown_first_and_taken_in_one_change(shop, tmp_path):
    desk, beck, _ = shop
    file = tmp_path / "list.csv"
    file.write_text(
        "Beck Supply prices\n\nItem No.,Description,Net price,Pack qty,UPC\n"
        "H1,Pump,$12.50,4,036000291452\nH2,Float,10.00,1,\nH9,Lid,7.00,1,\n",
        encoding="utf-8",
    )
    proposal = look_at_prices(desk, file, beck)

    assert [(one.line.number, one.state) for one in proposal.lines] == [
        ("H1", "changed"), ("H2", "same"), ("H9", "new"),
    ]  # fmt: skip
    assert proposal.lines[0].changes == (
        ("cost_minor", 1000, 1250), ("pack", 1, 4), ("barcode", "", "036000291452"),
    )  # fmt: skip
    assert (
        "line 4: H1 B-1: cost $10.00 → $12.50; pack 1 → 4; barcode — → 036000291452"
        in "\n".join(proposal_lines(proposal, desk))
    )
    assert costs(desk)["B-1"] == (1000, 1600)

    changed = take_prices(desk, proposal)
    assert costs(desk) == {"A-1": (1000, 1600), "B-1": (1250, 1600), "B-2": (1000, 1600)}
    assert costs(desk, on=TODAY - timedelta(days=1))["B-1"] == (1000, 1600)  # old visits keep it
    assert look_at_prices(desk, file, beck).n_of("changed") == 0
    undo(desk, changed.change_id)
    assert costs(desk)["B-1"] == (1000, 1600)
    assert parts.parts(desk)[1].pack == 1


def test_each_fault_is_told_with_its_line_and_the_rest_is_taken(shop, tmp_path):
    desk, beck, _ = shop
    file = tmp_path / "list.csv"
    faults = write_list(file, n=300, n_faults=30, known={"H1": "11.00", "h2": "9.00"})
    proposal = look_at_prices(desk, file, beck, Ask(adds_new=True))

    assert {one.row: one.code for one in proposal.faults} == faults
    told = "\n".join(proposal_lines(proposal, desk))
    assert all(f"line {row}, " in told for row in faults)
    take_prices(desk, proposal)
    catalogue = costs(desk)
    assert (catalogue["B-1"], catalogue["B-2"]) == ((1100, 1600), (900, 1600))
    left_out = sum(code != "no_barcode" for code in faults.values())
    assert len(catalogue) == 3 + 300 - 2 - left_out


def test_a_number_that_stands_twice_is_said_and_the_first_counts(shop, tmp_path):
    desk, beck, _ = shop
    file = tmp_path / "list.csv"
    file.write_text("Part number,Cost\nH1,11.00\nH1,12.00\nH2,9\nH2,9\n", encoding="utf-8")
    proposal = look_at_prices(desk, file, beck)

    assert [(one.row, one.code) for one in proposal.faults] == [(3, "twice"), (5, "repeated")]
    assert proposal.lines[0].line.cost_minor == 1100


def test_columns_that_were_corrected_are_known_the_next_time(shop, tmp_path):
    desk, beck, _ = shop
    file = tmp_path / "list.csv"
    file.write_text("Ring,Description,Sum\nH1,Pump,11.00\nH2,Float,10.00\n", encoding="utf-8")
    with pytest.raises(Trouble, match="No column holds"):
        look_at_prices(desk, file, beck)
    ask = Ask(columns={"Ring": "supplier_number", "sum": "cost"})
    take_prices(desk, look_at_prices(desk, file, beck, ask))
    file.write_text("Ring,Description,Sum\nH1,Pump,13.00\n", encoding="utf-8")

    assert look_at_prices(desk, file, beck).lines[0].line.cost_minor == 1300
    with pytest.raises(Trouble, match="no column or meaning"):
        look_at_prices(desk, file, beck, Ask(columns={"Nowhere": "cost"}))


def test_a_catalogue_changed_meanwhile_stops_the_list(shop, tmp_path):
    desk, beck, made = shop
    file = tmp_path / "list.csv"
    file.write_text("Part number,Cost\nH1,11.00\nH2,9\n", encoding="utf-8")
    proposal = look_at_prices(desk, file, beck)
    parts.price_part(desk, made["B-1"], from_on=TODAY, cost_minor=1, price_minor=2)

    with pytest.raises(Trouble, match="Somebody changed"):
        take_prices(desk, proposal)
    assert costs(desk)["B-2"] == (1000, 1600)


def test_a_cost_several_times_as_high_is_worth_a_look(shop, tmp_path):
    desk, beck, _ = shop
    file = tmp_path / "list.csv"
    file.write_text("Part number,Cost\nH1,100.00\nH2,9\n", encoding="utf-8")

    assert [one.is_odd for one in look_at_prices(desk, file, beck).lines] == [True, False]


def test_a_supplier_is_known_by_a_part_of_its_name(shop):
    desk, beck, _ = shop

    assert supplier_named(desk, "beck") == beck
    with pytest.raises(Trouble, match="no supplier called Nobody"):
        supplier_named(desk, "Nobody")


@pytest.mark.parametrize(
    ("digits", "is_one"),
    # GTINs printed as worked examples: UPC-A 036000291452, EAN-13 4006381333931 (from memory)
    [("036000291452", True), ("4006381333931", True), ("036000291453", False), ("12", False)],
)
def test_the_last_digit_of_a_barcode_checks_the_others(digits, is_one):
    assert is_barcode(digits) is is_one
