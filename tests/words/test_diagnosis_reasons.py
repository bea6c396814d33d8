"""Every reason of the diagnosis is a sentence with names in it, no ids and no codes."""

import ast
from pathlib import Path

import pytest

from servicedesk.desk.causes_cli import names_of
from servicedesk.trouble.opinion import opinion
from servicedesk.values.reason import Reason
from servicedesk.words.diagnosis_reasons import DIAGNOSIS_TELLERS
from servicedesk.words.formats import Formats
from servicedesk.words.reasons import reason_text
from tests.trouble.findings import KNOWN, case

ROOT = Path(__file__).parents[2] / "servicedesk" / "trouble"
CASES = {
    "speaks_against_leading": (
        "high-water-alarm",
        "alarm-float-ohms-hanging=low alarm-float-lift=stays-on alarm-float-look=lifted-by-water",
    ),
    "two_faults_together": (
        "high-water-alarm",
        "alarm-float-ohms-hanging=low alarm-float-lift=stays-on alarm-leads-lifted=alarm-stays",
    ),
    "cannot_both_be": ("no-spray", "run-in-hand=silent drawdown-rate=as-recorded"),
    "found_both": ("no-spray", "pump-amps=low pump-amps=high"),
    "danger_first": ("no-spray", "lid-look=broken"),
    "nothing_listed_fits": (
        "uv-fault",
        "uv-lamp-lit=lit uv-feed=live uv-sleeve-look=clear effluent-clarity=clear",
    ),
    "not_likely_enough": ("no-spray", ""),
    "not_proved": ("no-spray", ""),
}


def of_case(code: str) -> Reason:
    symptom, findings = CASES[code]
    told = opinion(case(symptom, *findings.split()), KNOWN)
    reasons = [*told.why_not_sure, *(one.why for one in told.contradictions)]
    return next(one for one in reasons if one.code == code)


@pytest.mark.parametrize("code", sorted(CASES))
def test_a_reason_is_a_sentence_with_names(code):
    text = reason_text(of_case(code), Formats(), names_of(KNOWN))
    assert len(text) > 20
    ids = [*KNOWN.causes, *KNOWN.checks]
    assert not [one for one in ids if "-" in one and one in text]
    assert code not in text


def test_two_results_that_no_cause_explains_are_told_with_both():
    reason = Reason.of("no_one_cause", check="box-look", result="damp",
                       other="splice-look", other_result="parted")  # fmt: skip
    text = reason_text(reason, Formats(), names_of(KNOWN))
    assert KNOWN.checks["box-look"].name in text
    assert "parted" in text


def test_every_code_that_the_diagnosis_gives_has_words():
    given = set()
    for name in ("contradictions.py", "sure.py"):
        for node in ast.walk(ast.parse((ROOT / name).read_text(encoding="utf-8"))):
            called = isinstance(node, ast.Call) and ast.unparse(node.func) == "Reason.of"
            if called and isinstance(node.args[0], ast.Constant):
                given.add(node.args[0].value)
    given |= {"speaks_against_leading", "two_faults_together"}  # chosen by a name in the code
    assert given == set(DIAGNOSIS_TELLERS)


@pytest.mark.parametrize(
    ("checks", "told"),
    [
        (("a",), "the check that speaks for it directly has not found it: Lift it"),
        (("a", "b"), "no check that speaks for it directly has found it; there are Lift it; Look"),
    ],
)
def test_one_check_is_told_as_one_and_several_as_several(checks, told):
    names = {"a": "Lift it", "b": "Look", "c": "Float stuck"}
    reason = Reason.of("not_proved", cause="c", checks=checks)
    assert reason_text(reason, Formats(), names) == f"Float stuck: {told}"
