"""Samples to a laboratory, and what their results set going.

Limits of the invented county are those of Figure 30 TAC 285.91(4), Table IV: fecal coliform 200 or
less; BOD5 65 mg/L or less for places other than single-family homes. 180 days for a first sample:
12VAC5-613-100, and the invented county.
"""

from datetime import date

import pytest

from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.deadlines import deadlines
from servicedesk.desk.samples import (
    NewSample,
    lose_sample,
    samples_of,
    take_sample,
    write_result,
)
from servicedesk.records.errors import StaleEdit
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.people import Firm
from servicedesk.records.samples import Sample
from servicedesk.records.sites import System
from servicedesk.values.trouble import Trouble
from tests.builders import a_site, system_of


@pytest.fixture
def system(desk):
    """A spray system of a store in the invented county."""
    return under(desk, a_site(desk), "tarrow-spray")


def under(desk, site, rule_id, **columns):
    with desk.store.change("Ines", "Wrote the rule") as work:
        system = work.get(System, system_of(desk, site).id)
        system.rule_id = rule_id
        for name, value in columns.items():
            setattr(system, name, value)
    return system


def taken(desk, system, item_id="fecal-coliform", on=date(2026, 10, 9), **values):
    take_sample(desk, NewSample(system_id=system.id, item_id=item_id, taken_on=on, **values))
    return samples_of(desk, system.id)[-1].row


def test_a_sample_keeps_the_limit_that_stood_when_it_was_taken(desk, system):
    with desk.store.change("Ines", "Wrote the laboratory") as work:
        laboratory = work.add(Firm(name="Wrenlock Water Laboratory (invented)"))
    taken(desk, system, taken_by="Lena", laboratory_id=laboratory.id, laboratory_number="W-1")

    (said,) = samples_of(desk, system.id)
    assert (said.name, said.limit_text, said.value_text, said.keeps) == (
        "Fecal coliform", "200 or less", "", None,
    )  # fmt: skip
    assert said.row.laboratory == laboratory.name
    with desk.store.read() as session:
        sample = session.get(Sample, said.row.id)
    assert (sample.rule_version, sample.expected_on) == ("2022-07-01", date(2026, 10, 19))


def test_a_home_has_no_limit_for_bod_and_other_places_have(desk):
    home = under(desk, a_site(desk), "tarrow-spray")
    grange = under(desk, a_site(desk, "152 Sluice Way", owner="Grange"), "tarrow-spray",
                   single_family=False)  # fmt: skip

    assert taken(desk, home, "bod5").limit_high is None
    assert taken(desk, grange, "bod5").limit_high == "65"


def test_a_result_that_does_not_come_is_on_the_list(desk, system):
    taken(desk, system, on=date(2026, 10, 1), expected_days=10)

    (line,) = deadlines(desk, kind="sample")
    assert (line.due_on, line.ours) == (date(2026, 10, 11), 3)
    assert line.what == "Result is missing: Fecal coliform"
    assert not line.is_legal

    lose_sample(desk, samples_of(desk, system.id)[0].row.id, "bottle broke")
    assert deadlines(desk, kind="sample") == ()


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("200", True), ("201", False), ("<2", True), (">200", False), ("too many", False)],
)
def test_a_result_outside_its_limit_opens_its_own_deadline(desk, system, typed, kept):
    row = taken(desk, system)
    write_result(desk, row.id, typed, known_on=date(2026, 10, 12))

    assert samples_of(desk, system.id)[0].keeps is kept
    assert deadlines(desk, kind="sample") == ()
    told = deadlines(desk, kind="notice")
    if kept:
        assert told == ()
    else:
        # known on Monday the 12th, five working days: Monday the 19th
        assert [(one.due_on, one.duty) for one in told] == [(date(2026, 10, 19), "exceedance")]


def test_told_it_leaves_the_list(desk, system):
    row = taken(desk, system)
    write_result(desk, row.id, "400", known_on=date(2026, 10, 12))
    with desk.store.change("Ines", "Told the county") as work:
        work.add(PaperSent(kind_of="notice", system_id=system.id, to_kind="authority",
                           sent_at=desk.clock.now()))  # fmt: skip

    assert deadlines(desk, kind="notice") == ()


def test_a_new_system_owes_its_first_sample(desk):
    site = a_site(desk)
    system = under(desk, site, "us-va-small", started_on=date(2026, 6, 1))

    (line,) = deadlines(desk, kind="sample")
    assert (line.due_on, line.confirmed) == (date(2026, 11, 28), True)  # June 1 and 180 days

    taken(desk, system, "bod5")
    assert [one.duty for one in deadlines(desk, kind="sample")] == ["lab_result"]


def test_what_cannot_be_is_refused_with_a_sentence(desk, system):
    with pytest.raises(WrongEntry, match="still to come"):
        taken(desk, system, on=date(2026, 10, 15))
    with pytest.raises(WrongEntry, match="fecal-coliform"):
        taken(desk, system, "gold")
    row = taken(desk, system)
    for typed in ("", "plenty", "not measured"):
        with pytest.raises(WrongEntry, match="Write the result"):
            write_result(desk, row.id, typed)
    with pytest.raises(WrongEntry, match="after the sample"):
        write_result(desk, row.id, "2", known_on=date(2026, 10, 8))
    with pytest.raises(WrongEntry, match="why"):
        lose_sample(desk, row.id, " ")
    with pytest.raises(Trouble, match="not in the store"):
        write_result(desk, 999_999, "2")
    assert samples_of(desk, system.id)[0].value_text == ""


def test_two_seats_do_not_write_over_each_other(desk, system):
    row = taken(desk, system)
    write_result(desk, row.id, "12", seen=row.revision)

    with pytest.raises(StaleEdit):
        write_result(desk, row.id, "400", seen=row.revision)
    assert samples_of(desk, system.id)[0].value_text == "12 MPN/100 mL"
