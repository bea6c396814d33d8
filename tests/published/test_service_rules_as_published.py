"""The rules that travel with the program against the published texts, each named beside its check.

Read on 2026-11-25; a rule "from memory" is expected to be marked so, not to be right.
"""

from datetime import date
from decimal import Decimal

import pytest

from servicedesk.trade.rule_shapes import (
    AsPermit,
    DutyKind,
    EveryMonths,
    FirstYears,
    Form,
    MonthDay,
    PerYear,
)
from servicedesk.trade.service_rules import rule_for, shipped_rules

ON = date(2026, 11, 25)


def rule(rule_id):
    found = rule_for(shipped_rules(), rule_id, on=ON)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("rule_id", "visits"),
    [
        # 30 TAC 285.91(4), Table IV: at least once every four months
        ("us-tx-surface", EveryMonths(4)),
        ("us-tx-secondary", EveryMonths(4)),
        # 30 TAC 285.91(4), Table IV: non-standard treatment, all from the permit
        ("us-tx-nonstandard", AsPermit()),
        # Lake County, Illinois, Ord. 24-1005: two a calendar year, at least four months apart
        ("us-il-county-2", PerYear(2, 4)),
        # Loudoun County, Virginia, 1067.04: one a year, report on file by July 1
        ("us-va-county-1", PerYear(1, report_by=MonthDay(7, 1))),
        # Kane County, Illinois, 18-40: at least every six months
        ("us-il-county-1", EveryMonths(6)),
        # Okla. Admin. Code 252:641-10-3(a): every six months in the installer's two years
        ("us-ok-first-two-years", FirstYears(2, EveryMonths(6))),
        # 20.7.3.901 NMAC: semi-annually; how the half-years are counted is not said
        ("us-nm-advanced", PerYear(2, counted_as_said=False)),
    ],
)
def test_visits_are_as_the_published_text_says(rule_id, visits):
    assert rule(rule_id).visits == visits
    assert rule(rule_id).confirmed


@pytest.mark.parametrize(
    ("rule_id", "kind", "form", "n"),
    [
        ("us-nm-advanced", DutyKind.REPORT, Form.DAYS, 30),  # 20.7.3.901 F NMAC
        ("us-nc-managed", DutyKind.REPORT, Form.DAYS, 30),  # 15A NCAC 18E .1304(c)
        ("us-in-county-1", DutyKind.REPORT, Form.MONTHS, 1),  # Howard County, Indiana
        ("us-in-county-2", DutyKind.REPORT, Form.MONTHS, 1),  # LaPorte County, Indiana, 51.41
        ("us-va-county-1", DutyKind.PUMP_OUT_REPORT, Form.DAY_OF_NEXT_MONTH, 15),  # Loudoun 1067
        ("us-nm-advanced", DutyKind.EXCEEDANCE, Form.WORKING_DAYS, 5),  # 20.7.3.901 G NMAC
        ("us-nc-managed", DutyKind.FAILURE, Form.HOURS, 48),  # 15A NCAC 18E .1304
        ("us-tx-surface", DutyKind.CONTRACT_COPY, Form.DAYS, 30),  # 30 TAC 285.7(d)(2), 2nd hand
    ],
)
def test_deadlines_have_the_form_and_figure_of_the_published_text(rule_id, kind, form, n):
    (duty,) = rule(rule_id).duties_of(kind)
    assert (duty.within.form, duty.within.n) == (form, n)
    assert duty.confirmed


def test_the_repair_ladder_of_texas_has_three_steps():
    # 30 TAC 285.70(a)(1)-(3)
    ladder = rule("us-tx-malfunction").repair_ladder
    assert ladder.days == (30, 20, 10)
    assert ladder.within_months == 12


def test_the_limits_of_texas_are_an_either_or_and_a_yearly_test_outside_homes():
    # Figure 30 TAC 285.91(4), Table IV
    chlorine, coliform, bod, tss = rule("us-tx-surface").sampling
    assert (chlorine.low, chlorine.or_else) == (Decimal("0.1"), "fecal coliform")
    assert coliform.high == 200
    assert bod.high == tss.high == 65
    assert bod.only == tss.only == "places other than single-family homes"


def test_new_mexico_answers_an_emergency_within_48_hours():
    assert rule("us-nm-advanced").response_h == 48  # 20.7.3.902 NMAC


@pytest.mark.parametrize(
    "rule_id",
    ["us-va-small", "us-fl-atu", "std-nsf40-first-policy", "us-wa-other", "example-three-a-year"],
)
def test_visits_from_memory_or_unread_texts_are_not_confirmed(rule_id):
    assert rule(rule_id).visits is not None
    assert not rule(rule_id).confirmed


def test_the_fourteen_days_of_texas_are_from_memory():
    # 30 TAC 285.7(d)(3) could not be read on the day of collection
    (report,) = rule("us-tx-surface").duties_of(DutyKind.REPORT)
    assert report.within.n == 14
    assert not report.confirmed


def test_all_rules_collected_are_there():
    assert sum(not v[0].invented for v in shipped_rules().values()) == 29
