"""What the repeat rules promise in words: returns, levels, quiet time, repairs, dial, rule."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from servicedesk.trouble.change_odds import after_gap, fleet_rate, site_multiplier
from servicedesk.trouble.fixed_rule import level_by_rule
from servicedesk.trouble.repeats import (
    Alert,
    CallFact,
    RepairFact,
    Settings,
    SiteFact,
    alerts,
    returns,
    watching_since,
)
from servicedesk.trouble.returns import counted
from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.reasons import reason_text
from servicedesk.words.repeat_reasons import about

BEGIN = date(2022, 1, 1)
PEERS = [SiteFact(f"peer {n}", BEGIN) for n in range(200)]
SITES = [SiteFact("here", BEGIN), *PEERS]
# what peers call for: one alarm in 15 years at a site
ORDINARY = [CallFact(f"peer {n}", BEGIN + timedelta(days=27 * n), "alarm") for n in range(40)]


def here(*days, symptom="alarm"):
    return [CallFact("here", BEGIN + timedelta(days=day), symptom) for day in days]


def told(found):
    return [(alert.level, (alert.on - BEGIN).days) for alert in found]


def raised(calls, repairs=()):
    return alerts([*calls, *ORDINARY], SITES, repairs)


def test_calls_within_two_weeks_count_as_one_and_stand_on_their_own_list():
    calls = here(400, 406, 414, 415)

    # 415 is 15 days after the callback that counted, and one day after the call before
    assert [(c.on - BEGIN).days for c in counted(calls)] == [400, 415]
    assert [(r.days, (r.on - BEGIN).days) for r in returns(calls)] == [
        (6, 406), (8, 414), (1, 415),
    ]  # fmt: skip
    assert alerts(here(400, 406, 414), SITES) == ()


def test_a_site_that_calls_every_ten_days_is_not_one_callback_for_ever():
    calls = here(*range(300, 660, 10))

    assert len(counted(calls)) == 18
    assert "act" in [level for level, _day in told(alerts(calls, SITES))]


def test_two_calls_of_one_day_are_one_and_no_return():
    calls = here(400, 400) + here(400, symptom="smell")

    assert len(counted(calls)) == 2
    assert returns(calls) == ()


def test_three_of_a_symptom_are_an_act_alert_that_says_why():
    found = raised(here(400, 560, 700))

    assert told(found) == [("watch", 560), ("act", 700)]
    last = found[-1]
    assert last.chance is not None
    assert last.chance > 0.7
    assert (last.why.code, last.why["n"], last.why["days"]) == ("repeat", 3, 300)


def test_no_level_comes_twice_within_180_days():
    days = range(400, 1200, 60)
    found = raised(here(*days))

    acts = [day for level, day in told(found) if level == "act"]
    watches = [day for level, day in told(found) if level == "watch"]
    assert acts == [520, 700, 880, 1060]
    assert watches == [460]  # an act alert speaks for the watch level too


def test_after_a_root_cause_repair_the_count_begins_again():
    calls = here(400, 460, 520)
    there = BEGIN + timedelta(days=470)
    assert told(raised(calls)) == [("watch", 460), ("act", 520)]

    repaired = raised(calls, [RepairFact("here", there, "alarm")])

    assert told(repaired) == [("watch", 460)]
    assert told(raised(calls, [RepairFact("here", there)])) == [("watch", 460)]
    for other in (RepairFact("here", there, "smell"), RepairFact("peer 1", there, "alarm")):
        assert raised(calls, [other]) == raised(calls)


def test_a_repair_of_the_day_of_the_call_answers_that_call():
    on = BEGIN + timedelta(days=460)

    found = raised(here(400, 460, 520), [RepairFact("here", on, "alarm")])

    assert told(found) == [("watch", 460)]


def test_trouble_that_outlives_its_repair_is_counted_from_the_repair_on():
    on = BEGIN + timedelta(days=470)

    found = raised(here(400, 460, 700, 800, 900), [RepairFact("here", on, "alarm")])

    assert found[-1].why["n"] == 3
    assert found[-1].why["days"] == 200


def test_watching_is_shown_for_twelve_months():
    repairs = [RepairFact("here", date(2023, 2, 28), "alarm"), RepairFact("here", date(2022, 1, 5))]

    def since(today):
        return watching_since(repairs, "here", "alarm", today=today)

    assert since(date(2023, 2, 27)) is None  # the older repair is more than a year ago
    assert since(date(2023, 2, 28)) == date(2023, 2, 28)
    assert since(date(2024, 2, 27)) == date(2023, 2, 28)
    assert since(date(2024, 2, 28)) is None
    assert watching_since(repairs, "here", "smell", today=date(2022, 12, 1)) == date(2022, 1, 5)


def test_calls_of_an_event_neither_alert_nor_move_a_rate():
    storm = [
        CallFact(site.place, BEGIN + timedelta(days=500), "alarm", in_event=True) for site in SITES
    ]
    calls = here(400, 560, 700)

    assert alerts([*calls, *storm], SITES) == alerts(calls, SITES)
    assert returns([*storm, *[replace(c, on=c.on + timedelta(days=3)) for c in storm]]) == ()
    marked = [replace(call, in_event=True) for call in calls]
    assert alerts(marked, SITES) == ()


def test_the_dial_moves_the_chance_and_with_it_the_alerts():
    calls = here(500, 700)
    chances = {}
    for dial in ("fewer", "usual", "more"):
        found = alerts([*calls, *here(760)], SITES, settings=Settings(dial))
        chances[dial] = found[-1].chance

    assert chances["fewer"] < chances["usual"] < chances["more"]
    assert [Settings(dial).turning_per_year for dial in chances] == [0.01, 0.02, 0.04]
    with pytest.raises(ValueError, match="dial"):
        Settings("loud")


def test_a_site_that_calls_often_for_everything_is_judged_by_its_own_measure():
    calls = here(500, 650)
    busy = [call for n in range(12) for call in here(20 + 35 * n, symptom=f"other {n % 6}")]

    quiet_site, busy_site = alerts(calls, SITES), alerts([*calls, *busy], SITES)

    mine = [alert for alert in busy_site if alert.symptom == "alarm"]
    assert quiet_site
    assert not mine or mine[-1].chance < quiet_site[-1].chance


def test_a_symptom_that_is_common_in_the_fleet_weighs_less():
    common = [
        CallFact(site.place, BEGIN + timedelta(days=30 * k + n), "alarm")
        for n, site in enumerate(PEERS)
        for k in (1, 8)
    ]

    calls = here(500, 650)

    assert [a for a in alerts([*calls, *common], SITES) if a.place == "here"] == []
    assert alerts(calls, SITES)


@pytest.mark.parametrize(
    ("days", "level"),
    [
        ([date(2024, 1, 31)], None),
        ([date(2024, 1, 31), date(2024, 7, 31)], "watch"),
        ([date(2024, 1, 31), date(2024, 8, 1)], None),
        ([date(2022, 7, 31), date(2024, 1, 31), date(2024, 7, 31)], "act"),
        ([date(2022, 7, 30), date(2024, 1, 31), date(2024, 7, 31)], "watch"),
    ],
)
def test_the_rule_in_a_sentence(days, level):
    # the rule itself: "two within 6 months: watch, three within 24 months: act"; common practice
    assert level_by_rule(days) == level


def test_where_no_start_is_known_the_rule_decides_and_no_chance_is_told():
    for sites in ([], [SiteFact("here", None)], [SiteFact("here", date(2030, 1, 1))]):
        found = alerts(here(400, 560, 700), sites)

        assert told(found) == [("watch", 560), ("act", 700)]
        assert {alert.chance for alert in found} == {None}
        assert {alert.why.code for alert in found} == {"repeat_by_rule"}


def test_a_site_called_from_before_its_start_counts_from_the_first_call_of_all():
    calls = [CallFact("peer 1", BEGIN, "smell"), *here(400, 560, 700)]
    late = [SiteFact("here", BEGIN + timedelta(days=450)), *PEERS]
    unknown = [SiteFact("here", None), *PEERS]

    from_its_start = alerts(calls, SITES)
    assert from_its_start[0].on == BEGIN + timedelta(days=560)
    for sites in (late, unknown, PEERS):
        found = alerts(calls, sites)
        assert told(found) == told(from_its_start)
        assert found[0].chance == pytest.approx(from_its_start[0].chance, abs=0.01)


def test_a_site_that_has_left_counts_no_longer():
    gone = [replace(site, until_on=BEGIN + timedelta(days=10)) for site in PEERS]
    calls = here(400, 560, 700)

    with_peers, without = alerts(calls, SITES), alerts(calls, [SITES[0], *gone])

    assert with_peers[-1].why["usual_days"] > without[-1].why["usual_days"]


def test_rates_refuse_what_cannot_be():
    with pytest.raises(ValueError, match="no rate"):
        fleet_rate(-1, 10, 0.5)
    with pytest.raises(ValueError, match="gap"):
        after_gap(0.1, -1, usual=0.1, turning=0.01)
    assert site_multiplier(0, 0.2, 0.0) == site_multiplier(0, 0.2, 30 / 365)


@pytest.mark.parametrize(
    ("reason", "text"),
    [
        (
            Reason.of("repeat", symptom="high-water-alarm", n=3, days=426, usual_days=18 * 365),
            "3 callbacks for high-water alarm in 14 months; a site like this has one in 18 years",
        ),
        (
            Reason.of("repeat", symptom="own word", n=2, days=20, usual_days=500),
            "2 callbacks for own word in 20 days; a site like this has one in 16 months",
        ),
        (
            Reason.of("repeat", symptom="own word", n=1, days=0, usual_days=9000),
            "1 callback for own word; a site like this has one in 25 years",
        ),
        (
            Reason.of("repeat_by_rule", symptom="own word", n=2, days=150),
            (
                "2 callbacks for own word in 5 months; "
                "counted by the rule alone: two within 6 months, or three within 24"
            ),
        ),
    ],
)
def test_an_alert_reads_like_this(reason, text):
    names = {"high-water-alarm": "high-water alarm"}

    assert reason_text(reason, Formats(), names) == text


def test_a_chance_is_told_as_roughly_as_it_is_known():
    assert [about(chance) for chance in (0.41, 0.69, 0.7, 0.99, None)] == [
        "about 1 in 2", "about 1 in 2", "about 4 in 5", "about 4 in 5", "",
    ]  # fmt: skip


def test_no_calls_give_no_alerts():
    assert alerts([], SITES) == ()
    assert alerts(here(400, 560, 700), SITES, until=BEGIN) == ()
    assert isinstance(alerts(here(400, 560, 700), SITES)[0], Alert)


def test_a_listed_site_without_a_start_is_there_from_the_first_call_of_all():
    quiet = [SiteFact(f"quiet {n}", None) for n in range(300)]
    calls = here(400, 560, 700)

    more, fewer = alerts(calls, [*SITES, *quiet]), alerts(calls, SITES)

    assert more[-1].why["usual_days"] > 1.2 * fewer[-1].why["usual_days"]


def test_a_repair_that_may_have_settled_it_takes_that_part_of_the_odds_away():
    there = BEGIN + timedelta(days=470)

    def chance_after(share):
        found = raised(here(400, 460, 520), [RepairFact("here", there, "alarm", share)])
        return {(alert.level, alert.on): alert.chance for alert in found}

    plain, little, half = chance_after(0.0), chance_after(0.1), chance_after(0.6)
    act = ("act", BEGIN + timedelta(days=520))
    # Bayes by hand: of the odds on the day of the repair one part in ten goes, the odds of
    # turning bad in the 50 days since are so small that they hardly show
    odds = plain[act] / (1 - plain[act])
    assert little[act] == pytest.approx(0.9 * odds / (1 + 0.9 * odds), abs=0.01)
    assert act not in half or half[act] < little[act]
    assert chance_after(0.0) == {(a.level, a.on): a.chance for a in raised(here(400, 460, 520))}


def test_what_probably_did_not_settle_it_neither_watches_nor_starts_the_count_anew():
    on = BEGIN + timedelta(days=470)
    little, much = RepairFact("here", on, "alarm", 0.2), RepairFact("here", on, "alarm", 0.6)

    assert watching_since([little], "here", "alarm", today=on) is None
    assert watching_since([much], "here", "alarm", today=on) == on
    assert raised(here(400, 460, 520), [little])[-1].why["n"] == 3
    last = raised(here(400, 460, 700, 800), [much])[-1]
    assert (last.why["n"], last.why["days"]) == (2, 100)
