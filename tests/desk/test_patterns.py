"""Patterns of a small company written row by row: what counts, what is shown, what is owed."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from servicedesk.desk.changes import undo
from servicedesk.desk.knowledge import add_own
from servicedesk.desk.pattern_facts import fleet_facts
from servicedesk.desk.pattern_money import write_pattern_costs
from servicedesk.desk.patterns import owe_pattern, patterns
from servicedesk.records.calls import Call, Event
from servicedesk.records.company import Company
from servicedesk.records.equipment import Unit, UnitModel
from servicedesk.records.owed import Owed
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Job, Visit
from servicedesk.values.money import Money
from servicedesk.values.trouble import Stopped, Trouble
from servicedesk.words.reasons import reason_text
from tests.builders import TODAY, a_call, a_done_visit, a_site, a_unit, system_of
from tests.records.snapshot import snapshot
from tests.trade.test_own import ENTRIES

BEGIN = date(2020, 1, 6)


def a_fleet(desk, *, bad=12, good=24, years_to_fail=3):
    """Two models of air pump in service since 2019; every bad one failed once, two good ones did.

    Joints: the bad pumps' sites have taped joints in the tank, the others sealed ones in a box.
    Records begin with one call in 2020. Keys of the two models.
    """
    with desk.store.change(desk.who, "Wrote a fleet") as work:
        models = [work.add(UnitModel(component="air-compressor", name=n)) for n in ("Bad", "Good")]
        for i in range(bad + good):
            is_bad = i < bad
            number = work.next_number("site")
            site = work.add(Site(number=number, address=f"{i + 1} Test Lane", since_on=BEGIN))
            system = work.add(
                System(site_id=site.id, started_on=date(2019, 5, 6), dispersal="spray")
            )
            fails = is_bad or i < bad + 2
            gone = BEGIN + timedelta(days=365 * years_to_fail + 20 * i)
            common = {"system_id": system.id, "component": "air-compressor",
                      "model_id": models[0 if is_bad else 1].id}  # fmt: skip
            work.add(
                Unit(
                    installed_on=date(2019, 5, 6), removed_on=gone if fails else None,
                    removed_why="failed: compressor-dead" if fails else "", **common,
                )
            )  # fmt: skip
            if fails:
                work.add(Unit(installed_on=gone, **common))
            made = {"splice": "in tank", "sealing": "plain tape"} if is_bad else {
                "splice": "box", "sealing": "gel"}  # fmt: skip
            work.add(
                Unit(system_id=system.id, component="splices-box", installed_on=date(2019, 5, 6),
                     attributes=made)
            )  # fmt: skip
            if i == 0:
                at = desk.clock.instant(BEGIN, 600)
                work.add(Call(called_at=at, site_id=site.id, system_id=system.id,
                              symptoms=["odour-outside"], state="answered"))  # fmt: skip
    return models


def factor(page, name):
    return next(one for one in page.factors if one.id == name)


def row(page, name, label):
    return next(one for one in factor(page, name).rows if one.label == label)


def test_a_unit_that_left_later_still_hangs_on_the_day_looked_at(desk):
    a_fleet(desk)
    day = BEGIN + timedelta(days=365 * 3 + 20 * 8)  # nine of the twelve have failed by then
    then = replace(desk, clock=replace(desk.clock, fixed_day=day))

    bad = row(patterns(then), "model:air-compressor:failures", "Bad")

    assert (bad.n_now, bad.events) == (12, 9)


def test_a_bad_model_is_clearly_above_and_its_peers_are_not(desk):
    a_fleet(desk)

    page = patterns(desk)

    name = "model:air-compressor:failures"
    bad, good = row(page, name, "Bad"), row(page, name, "Good")
    assert (bad.flag, good.flag) == ("clearly above", "too few")
    assert (bad.n_now, bad.events, good.n_now, good.events) == (12, 12, 24, 2)
    assert bad.years == pytest.approx(12 * (TODAY - BEGIN).days / 365.25)
    assert bad.raw.best == pytest.approx(100 * 12 / bad.years)
    assert factor(page, name).reference < bad.best.best < bad.raw.best  # drawn toward the fleet
    assert bad.best.low < bad.best.best < bad.best.high < bad.raw.high
    assert bad.times.best == pytest.approx((12 / bad.years) / (2 / good.years))
    assert good.reasons[0].code == "few_events"
    everything = factor(page, name)
    assert everything.reference == pytest.approx(100 * 14 / (bad.years + good.years))
    pattern = next(p for p in page.patterns if p.row == bad)
    assert pattern.title == "Air pump: Bad"
    assert pattern.lasting.seen == (12, 2)
    assert pattern.lasting.p < 0.001
    assert {one.address for one in pattern.exposed} == {f"{i} Test Lane" for i in range(1, 13)}


def test_a_store_without_calls_has_nothing_to_compare(desk):
    page = patterns(desk)

    assert (page.n_compared, page.factors, page.patterns, page.curves) == (0, (), (), ())
    a_site(desk)
    assert patterns(desk).factors == ()


def test_records_begin_with_the_first_call(desk):
    site = a_site(desk, since_on=date(2015, 1, 1))
    a_unit(desk, site)
    a_call(desk, site, called_at=desk.clock.instant(date(2021, 3, 4), 600))

    facts = fleet_facts(desk)

    assert facts.begins_on == date(2021, 3, 4)
    (unit,) = facts.units
    assert (unit.from_on, unit.until_on) == (date(2021, 3, 4), TODAY)


def a_callback(desk, site, on, *, event=None, **job):
    call = a_call(desk, site, called_at=desk.clock.instant(on, 600), system_id=system_of(desk, site).id,
                  event_id=event, state="answered")  # fmt: skip
    columns = {"call_id": call.id, "cause_id": "pump-windings-open",
               "cause_known_by": "a direct check", "fix": "fixed", **job}  # fmt: skip
    a_done_visit(desk, site, on + timedelta(days=1), kind_of="callback", job=columns)
    return call


@pytest.mark.parametrize(
    ("job", "n"),
    [
        ({}, 1),
        ({"cause_id": None, "no_fault_found": True}, 0),
        ({"no_fault_found": True}, 0),  # whatever cause stands beside it
        ({"cause_known_by": "presumed"}, 0),
        ({"cause_id": "compressor-dead"}, 0),  # another component's
        ({"outcome": "could not"}, 0),
    ],
)
def test_a_callback_counts_where_it_established_a_cause_of_that_component(desk, job, n):
    site = a_site(desk, since_on=date(2019, 5, 6))
    a_unit(desk, site)
    a_call(desk, site, called_at=desk.clock.instant(date(2021, 3, 4), 600))
    a_callback(desk, site, date(2024, 3, 4), **job)

    (unit,) = fleet_facts(desk).units

    assert len(unit.failures) == n
    assert all(failure.by_call for failure in unit.failures)


def test_calls_of_a_storm_count_nowhere(desk):
    site = a_site(desk, since_on=date(2019, 5, 6))
    a_unit(desk, site)
    a_call(desk, site, called_at=desk.clock.instant(date(2021, 3, 4), 600))
    with desk.store.change(desk.who, "Wrote a storm") as work:
        event = work.add(Event(what="storm", from_at=desk.clock.instant(date(2024, 3, 4), 0)))
    a_callback(desk, site, date(2024, 3, 4), event=event.id)

    facts = fleet_facts(desk)

    assert facts.units[0].failures == ()
    (system,) = facts.systems.values()
    assert [call.on for call in system.calls.counted] == [date(2021, 3, 4)]


def test_the_unit_that_was_there_failed_and_not_the_one_that_followed(desk):
    site = a_site(desk, since_on=date(2019, 5, 6))
    on = date(2024, 3, 5)
    a_unit(desk, site, removed_on=on, removed_why="failed: pump-windings-open", state="removed")
    a_unit(desk, site, installed_on=on)
    a_call(desk, site, called_at=desk.clock.instant(date(2021, 3, 4), 600))
    a_callback(desk, site, date(2024, 3, 4))  # visited on the 5th

    old, new = fleet_facts(desk).units

    assert [(f.on, f.by_call) for f in old.failures] == [(on, True)]  # once, not twice
    assert new.failures == ()
    assert (old.failed, old.is_there, new.is_there) == (True, False, True)


def test_a_cause_of_the_company_itself_counts_at_its_component(desk):
    add_own(desk, ENTRIES)
    component = next(one.body["component"] for one in ENTRIES if one.kind == "cause")
    site = a_site(desk, since_on=date(2019, 5, 6))
    a_unit(desk, site, component)
    a_call(desk, site, called_at=desk.clock.instant(date(2021, 3, 4), 600))
    a_callback(desk, site, date(2024, 3, 4), cause_id="gate-motor-noise")

    (unit,) = fleet_facts(desk).units

    assert len(unit.failures) == 1


@pytest.mark.parametrize("gone", [0, 1])
def test_of_two_alike_the_one_that_left_that_day_failed(desk, gone):
    site = a_site(desk, since_on=date(2019, 5, 6))
    left = {"removed_on": date(2024, 3, 5), "removed_why": "failed"}
    for i in range(2):
        a_unit(desk, site, **(left if i == gone else {}))
    a_call(desk, site, called_at=desk.clock.instant(date(2021, 3, 4), 600))
    a_callback(desk, site, date(2024, 3, 4))  # visited on the 5th

    units = fleet_facts(desk).units

    assert [len(unit.failures) for unit in units] == [int(i == gone) for i in range(2)]


def test_a_unit_put_in_that_day_is_not_blamed_for_what_was_found(desk):
    site = a_site(desk, since_on=date(2019, 5, 6))
    a_unit(desk, site, installed_on=date(2024, 3, 5))
    a_call(desk, site, called_at=desk.clock.instant(date(2021, 3, 4), 600))
    a_callback(desk, site, date(2024, 3, 4))  # visited on the 5th

    (unit,) = fleet_facts(desk).units

    assert unit.failures == ()


def test_calls_that_came_back_count_while_the_joint_was_there(desk):
    site = a_site(desk, since_on=date(2019, 5, 6))
    changed_on = date(2023, 1, 10)
    made = {"splice": "in tank", "sealing": "plain tape"}
    a_unit(desk, site, "splices-box", attributes=made, removed_on=changed_on, removed_why="failed")
    a_unit(desk, site, "splices-box", installed_on=changed_on, attributes={"splice": "box"})
    for day in (date(2021, 3, 4), date(2021, 3, 10), date(2022, 3, 4), date(2023, 3, 4)):
        a_call(desk, site, called_at=desk.clock.instant(day, 600))

    old, new = fleet_facts(desk).units

    assert (old.repeats, new.repeats) == (1, 1)  # the first is new, six days later is the same
    assert (old.place, old.sealing, new.place) == ("in tank", "plain tape", "box")


def test_a_removal_for_another_reason_is_no_failure(desk):
    site = a_site(desk, since_on=date(2019, 5, 6))
    a_unit(desk, site, removed_on=date(2024, 3, 5), removed_why="changed on suspicion")
    a_call(desk, site, called_at=desk.clock.instant(date(2021, 3, 4), 600))

    (unit,) = fleet_facts(desk).units

    assert (unit.failed, unit.failures) == (False, ())


def test_the_number_of_queries_does_not_depend_on_the_fleet(desk, count_queries):
    a_fleet(desk, bad=3, good=3)
    with count_queries(desk.store) as few:
        patterns(desk)
    a_fleet(desk, bad=12, good=24)
    with count_queries(desk.store) as many:
        patterns(desk)

    assert len(few) == len(many)
    assert len(many) <= 14
    with count_queries(desk.store) as again:
        patterns(desk)
    assert len(again) <= 2  # kept until something changes


def test_work_on_a_pattern_is_owed_at_the_chosen_systems_and_taken_back_at_once(desk):
    a_fleet(desk)
    pattern = next(p for p in patterns(desk).patterns if p.title == "Air pump: Bad")
    chosen = [one.system_id for one in pattern.exposed[:3]]
    before = snapshot(desk.store)

    changed = owe_pattern(desk, pattern, chosen)

    assert set(changed.rows) == {"owed"}
    with desk.store.read() as session:
        owed = session.query(Owed).order_by(Owed.id).all()
        assert sorted(o.system_id for o in owed) == sorted(chosen)
        assert {o.what for o in owed} == {"Replace the air pump (Bad) before it fails"}
        assert {(o.since_on, o.state, o.debtor) for o in owed} == {(TODAY, "open", "us")}
        assert all(session.get(Unit, o.unit_id).system_id == o.system_id for o in owed)

    owe_pattern(desk, pattern, [*chosen, pattern.exposed[3].system_id])
    with desk.store.read() as session:
        assert session.query(Owed).count() == 4  # what owes it already is left alone
    with pytest.raises(Trouble, match="does not owe this already"):
        owe_pattern(desk, pattern, chosen)
    with pytest.raises(Trouble, match="no longer show"):
        owe_pattern(desk, pattern, [999_999])

    undo(desk)
    undo(desk)
    assert snapshot(desk.store) == before


def test_own_figures_go_before_what_is_assumed(desk):
    a_fleet(desk)
    assert {r.code for r in patterns(desk).assumed.reasons} == {
        "assumed_hour", "assumed_call", "counted_over_years"
    }  # fmt: skip

    write_pattern_costs(desk, hour=Money(9000, "USD"), call=Money(20000, "USD"), years=5)

    assumed = patterns(desk).assumed
    assert (assumed.hour_minor, assumed.call_minor, assumed.years) == (9000, 20000, 5)
    assert {r.code for r in assumed.reasons} == {
        "company_hour", "company_call", "counted_over_years"
    }  # fmt: skip
    with desk.store.read() as session:
        assert session.query(Company).one().price_policy["hour_cost_minor"] == 9000
    with pytest.raises(Trouble, match="no cost"):
        write_pattern_costs(desk, hour=Money(0, "USD"))
    with pytest.raises(ValueError, match="currency"):
        write_pattern_costs(desk, hour=Money(100, "EUR"))


def test_no_sum_is_shown_in_a_currency_of_which_nothing_is_known(desk):
    from dataclasses import replace

    a_fleet(desk)
    elsewhere = replace(desk, company=replace(desk.company, currency="NOK"))

    page = patterns(elsewhere)

    assert page.assumed.call_minor is None
    assert "no_cost_known" in {r.code for r in page.assumed.reasons}
    assert all(p.saving_minor is None and p.pays_back is None for p in page.patterns)
    assert all(c.why_not.code == "no_cost_known" for c in page.curves)


def test_the_one_that_called_again_and_again_saves_most(desk):
    """Joints at a site with calls nobody explained stand first; what saving is made of adds up."""
    a_fleet(desk)
    with desk.store.read() as session:
        sites = {s.address: s for s in session.query(Site)}
    for i in range(12):  # every taped joint failed once
        a_callback(desk, sites[f"{i + 1} Test Lane"], date(2021, 2, 1) + timedelta(days=50 * i),
                   cause_id="splice-shorted-alarm")  # fmt: skip
    for days in (500, 350, 200, 60):
        a_callback(desk, sites["7 Test Lane"], TODAY - timedelta(days=days), cause_id=None,
                   no_fault_found=True, fix="reset only")  # fmt: skip
    write_pattern_costs(desk, hour=Money(6000, "USD"), call=Money(10000, "USD"), years=3)

    page = patterns(desk)
    pattern = next(p for p in page.patterns if p.kind == "practice")

    first, second = pattern.exposed[:2]
    assert first.address == "7 Test Lane"
    assert first.n_calls == 4
    assert first.calls_avoided > 2 * second.calls_avoided
    assert first.saving_minor == round(first.calls_avoided * 10000 - pattern.do_minor)
    savings = [one.saving_minor for one in pattern.exposed]
    assert savings == sorted(savings, reverse=True)
    usual = 4 / (12 * 2)  # own calls a year of the taped joints over two years
    rate = usual * (2 + 4) / (2 + usual * 2)
    assert first.calls_avoided == pytest.approx(3 * rate, rel=0.01)  # the others have none
    assert pattern.n_worth == 1
    assert pattern.saving_minor == first.saving_minor
    assert pattern.pays_back == pytest.approx(pattern.do_minor / (rate * 10000), rel=0.01)
    for one in page.patterns:  # paid after t of 3 years means: saved over 3 is cost (3 - t) / t
        if one.pays_back is not None:
            spent = one.n_worth * one.do_minor
            assert one.saving_minor == pytest.approx(spent * (3 / one.pays_back - 1), abs=1)
        assert one.pays_back is None or one.kind != "model"
    assert any("power" in text.lower() or "dead" in text.lower() for text in pattern.cautions)


def test_stopping_writes_nothing_and_is_heard(desk):
    a_fleet(desk, bad=3, good=3)

    def stop(done, total, note=""):
        if done == 2:
            raise Stopped

    with pytest.raises(Stopped):
        patterns(desk, stop)
    assert patterns(desk).today == TODAY


def test_a_pattern_that_age_explains_says_so(desk):
    """The bad model's units are all old, the good one's were old once and failed as often then."""
    with desk.store.change(desk.who, "Wrote a fleet") as work:
        models = [work.add(UnitModel(component="air-compressor", name=n)) for n in ("Old", "New")]
        for i in range(36):
            site = work.add(Site(number=work.next_number("site"), address=f"{i} Elm Lane",
                                 since_on=BEGIN))  # fmt: skip
            system = work.add(System(site_id=site.id, started_on=date(2005, 1, 1)))
            is_old = i < 12
            gone = BEGIN + timedelta(days=300 + 20 * (i % 12))
            model = models[0 if is_old else 1].id
            common = {"system_id": system.id, "component": "air-compressor", "model_id": model}
            fails = is_old or i < 16
            put_in = date(2005, 1, 1) if is_old or i < 16 else BEGIN
            work.add(Unit(installed_on=put_in, removed_on=gone if fails else None,
                          removed_why="failed" if fails else "", **common))  # fmt: skip
            if i == 0:
                work.add(Call(called_at=desk.clock.instant(BEGIN, 600), site_id=site.id,
                              system_id=system.id, symptoms=["odour-outside"]))  # fmt: skip

    pattern = next(p for p in patterns(desk).patterns if p.title == "Air pump: Old")

    assert pattern.row.times.low > 3
    assert pattern.at_equal_age.times.low < 1.2 < pattern.at_equal_age.times.high
    assert "goes_with_age" in {r.code for r in pattern.reasons}
    assert pattern.reasons[-1].code == "association"


def test_every_reason_on_the_page_has_its_sentence(desk):
    a_fleet(desk)
    page = patterns(desk)

    reasons = [r for p in page.patterns for r in p.reasons]
    reasons += [r for f in page.factors for one in f.rows for r in one.reasons]
    reasons += [c.why_not for c in page.curves if c.why_not]
    reasons += list(page.assumed.reasons)
    texts = [reason_text(reason, desk.formats) for reason in reasons]
    assert len(texts) > 8
    assert all(text and "_" not in text for text in texts)


def test_visits_that_did_not_take_place_establish_nothing(desk):
    site = a_site(desk, since_on=date(2019, 5, 6))
    a_unit(desk, site)
    a_callback(desk, site, date(2024, 3, 4))
    assert len(fleet_facts(desk).units[0].failures) == 1
    with desk.store.change(desk.who, "Not yet") as work:
        visit = work.session.query(Visit).one()
        visit.state = "planned"
        work.session.query(Job).one()

    assert fleet_facts(desk).units[0].failures == ()
