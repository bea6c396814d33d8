"""*What if* with the company's own rates."""

from datetime import date

import pytest

from servicedesk.desk.what_if import Question, what_if
from servicedesk.values.trouble import Trouble
from tests.builders import a_contract, a_done_visit, a_site, a_technician


@pytest.fixture
def company(desk):
    lena, tobin = a_technician(desk, "Lena Hobb"), a_technician(desk, "Tobin Ashe")
    for n in range(12):
        site = a_site(desk, f"{n} Alder Court", lat_deg=30.0 + 0.01 * n, lon_deg=-94.0,
                      locality="Pinder" if n < 6 else "Old Tessing")  # fmt: skip
        a_contract(desk, site)
        a_done_visit(desk, site, date(2026, 6, 1 + n), technician=lena, minutes=60)
    return lena, tobin


def total(months, name):
    return sum(getattr(month, name).middle for month in months)


def test_the_company_as_it_is(desk, company):
    answer = what_if(desk, Question(), n_years=5)

    assert answer.now == answer.then
    assert answer.names[0] == "Nov 2026"
    assert len(answer.names) == len(set(answer.names)) == 12
    # by hand: 12 sites with three windows a year each
    assert total(answer.now, "windows") == pytest.approx(36, abs=3)
    assert any("12 sites with 3" in one for one in answer.assumed)
    assert any("takes 60 min" in one for one in answer.assumed)


def test_more_sites_near_a_village_and_a_technician_less(desk, company):
    question = Question(more_sites=80, near="pinder", without=(company[0].id,))

    answer = what_if(desk, question, n_years=5)

    # by hand: 80 sites more, three windows each, all the work of one technician
    assert total(answer.then, "windows") == pytest.approx(36 + 240, abs=5)
    assert total(answer.then, "hours") > 5 * total(answer.now, "hours")
    assert answer.hours_then[0] == pytest.approx(answer.hours_now[0] / 2)
    assert any("80 more sites near Pinder" in one for one in answer.assumed)
    assert what_if(desk, question, n_years=5) == answer  # equal seed, equal answer


def test_what_cannot_be_asked_is_said(desk, company):
    with pytest.raises(Trouble, match="No site lies"):
        what_if(desk, Question(more_sites=5, near="Nowhere"), n_years=1)
    with pytest.raises(Trouble, match="No technician would be left"):
        what_if(desk, Question(without=tuple(t.id for t in company)), n_years=1)
