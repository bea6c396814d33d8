"""Service rules the company writes itself: checked, in force, never a legal day unless read."""

import inspect
import re
from datetime import UTC, date, datetime

import pytest
import yaml

from servicedesk.desk.changes import undo
from servicedesk.desk.deadlines import deadlines
from servicedesk.desk.rules import (
    end_own_rule,
    own_rules,
    put_under,
    read_rules,
    rules_of,
    rules_text,
    write_own_rules,
)
from servicedesk.desk.windows import current_windows
from servicedesk.records.papers_sent import PaperSent
from servicedesk.trade import rule_reading
from servicedesk.trade.rule_shapes import EveryMonths
from servicedesk.trade.service_rules import shipped_rules
from servicedesk.values.trouble import Trouble
from servicedesk.words.knowledge_reasons import known_fault_codes
from tests.builders import TODAY, a_contract, a_done_visit, a_site

BRISK = "Brisk Mere Health Office"


def a_rule(rule_id="brisk-spray", *, seen=True, days=21, **version):
    return {
        "id": rule_id,
        "jurisdiction": "Brisk Mere (invented)",
        "applies_to": "spray",
        "kind": "service",
        "versions": [
            {
                "source": "order of the office",
                "seen": seen,
                "visits": {"every_months": 6},
                "duties": [{"kind": "report", "within": {"days": days}, "to": ["owner"]}],
                **version,
            }
        ],
    }


def report(desk):
    (line,) = [one for one in deadlines(desk) if one.kind == "report"]
    return line


@pytest.fixture
def visited(file_desk):
    with file_desk.store.change("Ines", "A first report, long ago") as work:
        long_ago = datetime(2020, 1, 1, tzinfo=UTC)
        work.add(PaperSent(kind_of="inspection report", to_kind="owner", sent_at=long_ago))
    site = a_site(file_desk)
    a_done_visit(file_desk, site, TODAY, kind_of="inspection")
    return site


def test_a_report_is_due_by_the_companys_own_rule(file_desk, visited):
    write_own_rules(file_desk, {BRISK: [a_rule()]})
    put_under(file_desk, visited.id, "brisk-spray")

    line = report(file_desk)
    # 21 days after October 14, counted by hand
    assert (line.due_on, line.is_legal) == (date(2026, 11, 4), True)
    assert line.source == "order of the office (own rule)"
    (one,) = own_rules(file_desk)
    assert (one.authority, one.n_systems) == (BRISK, 1)
    with pytest.raises(Trouble, match="1 system stands under"):
        end_own_rule(file_desk, "brisk-spray")
    put_under(file_desk, visited.id, None)
    end_own_rule(file_desk, "brisk-spray")
    assert rules_of(file_desk) == shipped_rules()


def test_a_rule_nobody_read_in_its_source_sets_no_legal_day(file_desk, visited):
    write_own_rules(file_desk, {BRISK: [a_rule(seen=False)]})
    put_under(file_desk, visited.id, "brisk-spray")

    line = report(file_desk)
    assert (line.due_on, line.is_legal) == (date(2026, 11, 4), False)
    assert any("not confirmed" in why for why in line.why)


def test_its_versions_hold_from_their_day_and_windows_follow(file_desk):
    old = a_rule()["versions"][0]
    new = {**old, "valid_from": date(2026, 6, 1), "visits": {"every_months": 2}}
    write_own_rules(file_desk, {BRISK: [{**a_rule(), "versions": [old, new]}]})
    site = a_site(file_desk)
    a_contract(file_desk, site, from_on=date(2026, 9, 1), until_on=date(2027, 9, 1))
    put_under(file_desk, site.id, "brisk-spray")

    latest = rules_of(file_desk)["brisk-spray"][-1]
    assert (latest.valid_from_on, latest.visits) == (date(2026, 6, 1), EveryMonths(2))
    assert latest.own
    assert {one.rule_id for one in current_windows(file_desk)} == {"brisk-spray"}


def test_what_is_written_out_reads_back_the_same(file_desk, tmp_path):
    path = tmp_path / "rules.yaml"
    write_own_rules(
        file_desk, {BRISK: [a_rule(valid_from=date(2026, 6, 1))], "Corvane": [a_rule("c")]}
    )
    before = own_rules(file_desk)
    path.write_text(rules_text(file_desk), encoding="utf-8")
    read_rules(file_desk, path)

    assert own_rules(file_desk) == before
    path.write_text(rules_text(file_desk).replace("days: 21", "days: 10"), encoding="utf-8")
    changed = read_rules(file_desk, path)
    assert rules_of(file_desk)["c"][0].duties[0].within.n == 10
    undo(file_desk, changed.change_id)
    assert own_rules(file_desk) == before


def test_a_copy_of_a_shipped_rule_is_not_confirmed_until_read(file_desk, tmp_path):
    text = rules_text(file_desk, like="tarrow-spray")
    (tmp_path / "copy.yaml").write_text(text, encoding="utf-8")
    read_rules(file_desk, tmp_path / "copy.yaml")

    (copy,) = rules_of(file_desk)["tarrow-spray-ours"]
    assert not copy.confirmed
    assert copy.visits == shipped_rules()["tarrow-spray"][-1].visits
    assert yaml.safe_load(text)["rules"][0]["versions"][0]["seen"] is False


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        (a_rule("tarrow-spray"), "is a rule of the program"),
        (a_rule(visits={"every_months": 0}), "0 is not from 1 to 120"),
        (a_rule(visits={"every_months": 6, "times_a_year": 2}), "how often in one way"),
        (a_rule(every="x"), "this name is not known here"),
        (a_rule(duties=[{"kind": "repotr", "within": {"days": 1}}]), "'repotr' is none of"),
        (a_rule(valid_from="soon"), "'soon' is not a day"),
        ({**a_rule(), "versions": []}, "one at least is needed"),
    ],
)
def test_a_rule_that_cannot_be_meant_is_refused_and_nothing_is_written(file_desk, rule, said):
    with pytest.raises(Trouble, match=said):
        write_own_rules(file_desk, {BRISK: [rule]})

    assert own_rules(file_desk) == ()


def test_no_two_authorities_have_one_id(file_desk):
    write_own_rules(file_desk, {BRISK: [a_rule()]})
    with pytest.raises(Trouble, match="is a rule of Brisk Mere"):
        write_own_rules(file_desk, {"Corvane": [a_rule()]})


def test_nobody_stands_under_an_unknown_rule(file_desk):
    site = a_site(file_desk)
    with pytest.raises(Trouble, match="No rule is called"):
        put_under(file_desk, site.id, "no-such")


def test_every_fault_of_a_rule_has_words():
    source = inspect.getsource(rule_reading)
    codes = set(re.findall(r'fault\(\s*[^,]+,\s*"(\w+)"', source))
    assert {"not_one_shape", "above_high"} <= codes
    assert codes <= known_fault_codes()
