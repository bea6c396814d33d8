"""What has a last day, in Owed: filtered by kind, looked at, marked as sent, mailed as a draft."""

from dataclasses import replace
from datetime import date
from email import message_from_bytes, policy
from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from servicedesk.desk.deadlines import deadlines
from servicedesk.desk.office import desk_at
from servicedesk.desk.places_on_disk import papers_folder
from servicedesk.desk.samples import NewSample, take_sample
from servicedesk.records.company import Company, CompanyLicense
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.sites import System
from servicedesk.window.widgets.due_painter import due_color
from tests.builders import a_contract, a_done_visit, a_site, system_of
from tests.desk.conftest import _seated
from tests.window.test_owed import opened, press, settle  # noqa: F401 (a fixture)


@pytest.fixture
def desk(file_store):
    """Ines at a company that has an e-mail address."""
    before = _seated(file_store)
    with file_store.change("Ines", "Wrote the address") as work:
        work.session.query(Company).one().email = "office@example.org"
    return replace(desk_at(file_store), clock=before.clock)


@pytest.fixture
def office(desk):
    """A license that ends soon, and a report that is owed."""
    site = a_site(desk)
    with desk.store.change("Ines", "Set up") as work:
        work.get(System, system_of(desk, site).id).rule_id = "tarrow-spray"
        work.add(CompanyLicense(number="MP-31", valid_from=date(2024, 1, 1),
                                valid_until=date(2026, 11, 1)))  # fmt: skip
        for to in ("owner", "authority"):  # reports are watched since then
            work.add(PaperSent(kind_of="inspection report", to_kind=to, number=None,
                               sent_at=desk.clock.instant(date(2026, 1, 2), 600)))  # fmt: skip
    a_done_visit(desk, site, date(2026, 9, 1))  # 30 days: October 1, late on the 14th
    return site


@pytest.fixture
def shown(qtbot, office, opened):  # noqa: F811
    def now():
        window = opened()
        window.place.pills["due"].click()
        settle(qtbot, window)
        window.place.first_focus().setFocus()
        return window

    return now


def rows(window):
    return [(row.title, row.right) for row in window.place.due.list.rows.rows]


def test_the_soonest_stands_first_and_each_kind_has_its_filter(shown):
    window = shown()
    due = window.place.due

    assert rows(window)[0] == ("Report of inspection, Sep 1", "13 days late")
    assert due.isVisible()
    assert not window.place.sheet.isVisible()
    assert due.pills["report"].text() == "Reports 1"
    assert not due.pills["promise"].isVisible()

    assert "the rule gives 30 days" in due.about.text()
    assert "invented for the sample, second wording" in due.about.text()
    due.pills["license"].click()
    assert rows(window) == [("License MP-31 of Sallow Fork Onsite Care", "17 days left")]
    window.place.pills["all"].click()
    assert not due.isVisible()


def test_a_report_is_marked_as_sent_by_keys_and_leaves_the_list(qtbot, desk, shown):
    window = shown()
    press(qtbot, window, Qt.Key.Key_M)
    fields = window.place._forms.form(desk).fields
    fields["signed_by"].put("Nell Sallow")
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    assert "Report of inspection, Sep 1" not in [title for title, _ in rows(window)]
    with desk.store.read() as session:
        sent = session.query(PaperSent).where(PaperSent.number.is_not(None)).all()
    assert [(p.to_kind, p.signed_by, p.how) for p in sent] == [
        ("owner", "Nell Sallow", "email"),
        ("authority", "Nell Sallow", "email"),
    ]
    window.acts.run("undo")
    settle(qtbot, window)
    assert deadlines(desk, kind="report") == ()  # it has left the house


def test_a_draft_is_looked_at_and_takes_no_number(qtbot, desk, shown):
    window = shown()
    press(qtbot, window, Qt.Key.Key_L)

    notice = window.place.due.notice
    assert notice.isVisible()
    assert notice.path.read_bytes().startswith(b"%PDF")
    with desk.store.read() as session:
        assert session.query(PaperSent).where(PaperSent.number.is_not(None)).count() == 0


def test_a_mail_draft_lies_in_the_folder(qtbot, desk, shown):
    window = shown()
    press(qtbot, window, Qt.Key.Key_E)
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    folder = Path(papers_folder(desk.store.place)) / "reports"
    mails = sorted(folder.glob("*.eml"))
    assert len(mails) == 2
    (part,) = message_from_bytes(mails[0].read_bytes(), policy=policy.default).iter_attachments()
    assert part.get_content_type() == "application/pdf"
    assert window.place.due.notice.isVisible()


def test_what_cannot_be_done_says_why(qtbot, shown):
    window = shown()
    window.place.due.pills["license"].click()

    assert window.place.keys.run("look_paper") == "This is no report."
    assert window.place.keys.run("mark_sent") == "No paper goes out for this."
    assert window.place.keys.run("settle") == "Choose something in the list first."


def test_enter_opens_the_thing_to_do(qtbot, office, shown):
    window = shown()
    press(qtbot, window, Qt.Key.Key_Return)

    assert window.place.name == "sites"
    assert window.place.shown[-1] == (office.id,)


def test_enter_on_a_contract_paper_opens_the_contracts_of_its_site(qtbot, desk, office, shown):
    a_contract(desk, office, from_on=date(2025, 11, 1), until_on=date(2026, 11, 1))
    window = shown()
    window.place.due.pills["contract"].click()
    window.place.first_focus().setFocus()
    press(qtbot, window, Qt.Key.Key_Return)

    assert window.place.shown[-1] == (office.id, "contracts")


def test_a_copy_of_a_contract_is_marked_as_sent(qtbot, desk, office, shown):
    a_contract(desk, office, from_on=date(2025, 11, 1), until_on=date(2026, 11, 1))
    following = a_contract(desk, office, from_on=date(2026, 11, 1), until_on=date(2027, 11, 1))
    window = shown()
    window.place.due.pills["contract"].click()
    window.place.first_focus().setFocus()
    press(qtbot, window, Qt.Key.Key_M)
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    assert deadlines(desk, kind="contract") == ()
    with desk.store.read() as session:
        (paper,) = session.query(PaperSent).where(PaperSent.kind_of == "contract copy")
    assert (paper.contract_id, paper.to_kind) == (following.id, "authority")


def test_a_day_that_no_rule_confirms_is_never_shown_as_a_firm_one(desk, office):
    (line,) = deadlines(desk, kind="report")

    assert due_color(line) == "clay"
    assert due_color(replace(line, confirmed=False)) == "ochre"
    assert due_color(replace(line, own=True)) == "ochre"


def test_a_report_is_signed_by_a_key(qtbot, desk, shown):
    window = shown()
    assert "waiting for signature" in deadlines(desk, kind="report")[0].why
    press(qtbot, window, Qt.Key.Key_G)
    window.place._forms.form(desk).fields["signed_by"].put("Nell Sallow")
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    assert "signed by Nell Sallow" in deadlines(desk, kind="report")[0].why


def test_a_sample_is_taken_and_its_result_written(qtbot, desk, office, shown):
    window = shown()
    press(qtbot, window, Qt.Key.Key_T)
    form = window.place._forms.form(desk)
    form.fields["site"].put("dry hollow")
    form.fields["taken_on"].put(date(2026, 10, 9))
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    window.place.due.pills["sample"].click()
    assert rows(window) == [("Result is awaited: Fecal coliform", "5 days left")]
    window.place.first_focus().setFocus()
    press(qtbot, window, Qt.Key.Key_R)
    form.fields["value"].put("400")
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    assert deadlines(desk, kind="sample") == ()
    (line,) = deadlines(desk, kind="notice")
    assert "400 MPN/100 mL, outside its limit" in line.what


def test_a_result_that_is_none_stands_at_its_field(qtbot, desk, office, shown):
    take_sample(desk, NewSample(system_id=system_of(desk, office).id, item_id="fecal-coliform",
                                taken_on=date(2026, 10, 9)))  # fmt: skip
    window = shown()
    window.place.due.pills["sample"].click()
    window.place.first_focus().setFocus()
    press(qtbot, window, Qt.Key.Key_R)
    form = window.place._forms.form(desk)
    form.fields["value"].put("plenty")
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    assert form.fields["value"].is_wrong
    assert len(deadlines(desk, kind="sample")) == 1


def test_all_reports_go_in_one_run(qtbot, desk, office, shown):
    a_done_visit(desk, office, date(2026, 10, 6))
    window = shown()
    press(qtbot, window, Qt.Key.Key_W)
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    assert deadlines(desk, kind="report") == ()
    folder = Path(papers_folder(desk.store.place)) / "reports"
    assert len(list(folder.glob("report-*.pdf"))) == len(list(folder.glob("*.eml"))) == 4
    assert "no report is owed" in window.place.keys.run("send_all").casefold()


def test_after_an_attempt_in_vain_the_owner_gets_a_letter(qtbot, desk, office, shown):
    contract = a_contract(desk, office)
    a_done_visit(desk, office, date(2026, 10, 5), job={
        "outcome": "could not", "could_not": "no access", "contract_id": contract.id,
    })  # fmt: skip
    window = shown()
    window.place.due.pills["window"].click()
    window.place.first_focus().setFocus()
    press(qtbot, window, Qt.Key.Key_M)
    press(qtbot, window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    with desk.store.read() as session:
        sent = session.query(PaperSent).where(PaperSent.number.is_not(None)).all()
    assert [(one.to_kind, one.kind_of) for one in sent] == [
        ("owner", "second attempt letter"),
        ("authority", "could not inspect"),
    ]


def test_a_window_nobody_tried_has_no_letter(desk, office, shown):
    a_contract(desk, office)
    window = shown()
    window.place.due.pills["window"].click()

    assert "Nobody was there in vain" in window.place.keys.run("mark_sent")
