"""Keeping conclusions changes no figure."""

from servicedesk.desk.cached import cached_for
from servicedesk.desk.today import todays_page
from servicedesk.desk.windows import current_windows
from tests.builders import a_contract, a_done_visit, a_site, something_owed


def test_dropping_what_is_kept_changes_no_figure(desk):
    a_contract(desk, a_site(desk))
    kept = (current_windows(desk), todays_page(desk))

    desk.store.conclusions.clear()

    assert (current_windows(desk), todays_page(desk)) == kept


def test_a_change_by_anybody_makes_it_be_computed_anew(desk):
    site = a_site(desk)
    a_contract(desk, site)
    before = current_windows(desk)
    assert current_windows(desk) is before  # kept

    a_done_visit(desk, site, desk.today)

    after = current_windows(desk)
    assert after != before
    assert any(w.window.done_on == desk.today for w in after)


def test_windows_of_two_days_are_kept_apart(desk):
    a_contract(desk, a_site(desk))
    today = current_windows(desk)

    later = current_windows(desk, day=desk.today.replace(year=desk.today.year + 1))

    assert later != today
    assert current_windows(desk) == today


def test_what_is_kept_stays_small(desk):
    a_contract(desk, a_site(desk))
    for n in range(1, 29):
        current_windows(desk, day=desk.today.replace(day=n))
    something_owed(desk, a_site(desk, "9 Tessing Road"))

    assert len(desk.store.conclusions) <= 16


def test_what_follows_from_some_tables_is_kept_until_one_of_them_changes(desk):
    site = a_site(desk)
    n = []

    def asked():
        return cached_for(desk, ("visit", "job"), ("test",), lambda: n.append(1) or len(n))

    first = asked()
    something_owed(desk, site)
    assert asked() == first  # another table
    a_done_visit(desk, site, desk.today)
    assert asked() == first + 1
