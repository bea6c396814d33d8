"""What was done comes out of its packing as it went in."""

from datetime import timedelta

from servicedesk.desk.held_work import HeldWork
from servicedesk.desk.renewal_facts import done_work
from servicedesk.desk.year_page import read_year, usual_spans, year_page
from tests.builders import TODAY, a_contract, a_done_visit, a_site


def test_the_work_and_a_page_made_of_it_again_are_as_they_were(file_desk):
    site = a_site(file_desk)
    a_contract(file_desk, site)
    for days in (30, 60, 90):
        a_done_visit(file_desk, site, TODAY - timedelta(days=days))
    work, span = done_work(file_desk), usual_spans(file_desk)["soon"]
    assert len(work.visits) == 3

    first = read_year(file_desk, span)

    assert HeldWork.of(work).open() == first.work.open() == work
    assert year_page(file_desk, span, first.work.open(), before=first) == first
