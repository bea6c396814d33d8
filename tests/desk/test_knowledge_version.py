"""Every finding keeps the version of the fault knowledge it was made under."""

from servicedesk.desk.intake import CallDraft, write_call
from servicedesk.desk.knowledge import add_own, knowledge_of
from servicedesk.records.visits import Finding
from servicedesk.trade.faults import knowledge
from tests.builders import a_site
from tests.trade.test_own import ENTRIES

ASKED = {"ask-which-alarm": None}


def versions(desk):
    with desk.store.read() as session:
        return [row.knowledge for row in session.query(Finding).order_by(Finding.id)]


def call(desk, site_id):
    draft = CallDraft(site_id=site_id, symptoms=("high-water-alarm",), findings=ASKED)
    return write_call(desk, draft)


def test_an_answer_on_the_phone_keeps_the_version_of_its_day(desk):
    site_id = a_site(desk).id
    call(desk, site_id)
    add_own(desk, ENTRIES)
    call(desk, site_id)

    assert versions(desk) == [knowledge().version, knowledge_of(desk).version]
    assert knowledge().version != knowledge_of(desk).version
