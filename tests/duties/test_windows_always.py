"""What holds for every contract, every rule and every history."""

from datetime import date, timedelta

from duty_cases import rule_of
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from servicedesk.duties.closings import ClosedDays
from servicedesk.duties.terms import Attempt, Counting, DoneInspection, Terms, WindowState
from servicedesk.duties.windows import matched_of, windows_of, windows_of_chain
from servicedesk.trade.rule_shapes import PerYear
from servicedesk.values.span import Span

BEHIND = {WindowState.LATE, WindowState.MISSED}
START = st.dates(date(2024, 1, 1), date(2027, 12, 31))
RULES = st.sampled_from(
    [
        None,
        rule_of({"every_months": 4}),
        rule_of({"every_months": 6}),
        rule_of({"every_months": 24}),
        rule_of({"times_a_year": 2, "apart_months": 4}),
        rule_of({"times_a_year": 3, "apart_months": 2}),
        rule_of({"times_a_year": 1, "report_by": "07-01"}),
        rule_of({"as_permit": True}),
        rule_of({"first_years": 1, "first": {"every_months": 3}, "after": {"every_months": 6}}),
    ]
)
WINTER = ClosedDays(Span(date(2025, 12, 1), date(2026, 3, 1)), every_year=True)


@st.composite
def cases(draw):
    start = draw(START)
    years = draw(st.sampled_from([0.4, 1, 1, 2, 3]))
    span = Span(start, start + timedelta(days=round(years * 365.25)))
    terms = Terms(
        span=span,
        visits_a_year=draw(st.integers(0, 6)),
        counting=draw(st.sampled_from(list(Counting))),
        tolerance_days=draw(st.integers(0, 30)),
        longest_gap_months=draw(st.sampled_from([None, None, 4, 6])),
        rule=draw(RULES),
        first_use_on=draw(st.sampled_from([None, start, start - timedelta(days=200)])),
        closed=draw(st.sampled_from([(), (WINTER,)])),
    )
    days = draw(st.lists(st.integers(-20, round(years * 366) + 60), max_size=12))
    history = [DoneInspection(start + timedelta(days=n), i + 1) for i, n in enumerate(days)]
    today = start + timedelta(days=draw(st.integers(-40, round(years * 366) + 60)))
    return terms, history, today


def _counts_by_calendar_year(terms):
    return terms.rule is not None and isinstance(terms.rule.visits, PerYear)


def behind(windows):
    return sum(window.state in BEHIND for window in windows)


@settings(max_examples=300, deadline=None)
@given(cases(), st.randoms(use_true_random=False))
def test_the_order_in_which_inspections_are_given_changes_nothing(case, chance):
    terms, history, today = case
    shuffled = list(history)
    chance.shuffle(shuffled)
    assert windows_of(terms, shuffled, [], today=today) == windows_of(
        terms, history, [], today=today
    )


@settings(max_examples=600, deadline=None)
@given(cases(), st.integers(-10, 800))
def test_one_more_inspection_never_puts_more_windows_behind(case, n):
    terms, history, today = case
    # a longest gap runs anew from each inspection made, a calendar year's windows do not move:
    # with both, one more inspection can bring a last day forward that was not near before
    assume(terms.longest_gap_months is None or not _counts_by_calendar_year(terms))
    more = [*history, DoneInspection(terms.span.from_on + timedelta(days=n), 99)]
    assert behind(windows_of(terms, more, [], today=today)) <= behind(
        windows_of(terms, history, [], today=today)
    )


@settings(max_examples=300, deadline=None)
@given(cases())
def test_every_inspection_counts_once_or_says_why_it_counts_for_none(case):
    terms, history, today = case
    found = matched_of(terms, history, [], today=today)
    filled = [w.filled_by for w in found.windows if w.is_filled]
    left = [job for job, _ in found.counted_for_none]
    assert sorted(filled + left) == sorted(h.job_id for h in history if h.on <= today)


@settings(max_examples=300, deadline=None)
@given(cases())
def test_windows_are_filled_in_date_order_within_their_own_bounds(case):
    terms, history, today = case
    windows = windows_of(terms, history, [], today=today)
    days = [w.done_on for w in windows if w.is_filled]
    assert days == sorted(set(days))
    for w in windows:
        assert terms.span.from_on <= w.opens_on <= w.closes_on
        if w.is_filled:
            assert w.accepts_from_on <= w.done_on < w.book_closes_on
            assert (w.done_on > w.closes_on) == (w.state is WindowState.DONE_LATE)
            assert w.days_late == max(0, (w.done_on - w.closes_on).days)


@settings(max_examples=300, deadline=None)
@given(cases(), st.lists(st.integers(-20, 800), max_size=5))
def test_attempts_fill_nothing_and_move_nothing(case, days):
    terms, history, today = case
    tries = [Attempt(terms.span.from_on + timedelta(days=n), 500 + i) for i, n in enumerate(days)]
    plain = windows_of(terms, history, [], today=today)
    told = windows_of(terms, history, tries, today=today)
    bare = [(w.number, w.state, w.filled_by, w.opens_on, w.closes_on) for w in plain]
    assert [(w.number, w.state, w.filled_by, w.opens_on, w.closes_on) for w in told] == bare
    named = [job for w in told for job in w.attempts]
    assert len(named) == len(set(named))


@settings(max_examples=200, deadline=None)
@given(cases())
def test_what_was_known_on_a_day_does_not_depend_on_what_came_later(case):
    terms, history, today = case
    before = [h for h in history if h.on <= today]
    assert windows_of(terms, history, [], today=today) == windows_of(terms, before, [], today=today)


@settings(max_examples=200, deadline=None)
@given(cases())
def test_the_usable_days_lie_in_the_window_and_outside_the_closed_ones(case):
    terms, history, today = case
    for w in windows_of(terms, history, [], today=today):
        window = Span(w.opens_on, w.closes_on + timedelta(days=1))
        shut = [s for c in terms.closed for s in c.spans_from(w.opens_on, w.closes_on)]
        assert all(
            part.within(window) and not any(part.meets(s) for s in shut) for part in w.usable
        )
        assert bool(w.usable) != any(r.code == "wholly_closed" for r in w.why)


@settings(max_examples=200, deadline=None)
@given(cases(), st.integers(0, 20))
def test_contracts_in_a_row_never_count_an_inspection_twice(case, gap):
    terms, history, today = case
    end = terms.span.until_on + timedelta(days=gap)
    second = Terms(span=Span(end, end + timedelta(days=365)), visits_a_year=3, rule=terms.rule)
    chain = windows_of_chain([terms, second], history, [], today=today + timedelta(days=300))
    filled = [w.filled_by for found in chain for w in found.windows if w.is_filled]
    assert len(filled) == len(set(filled))
