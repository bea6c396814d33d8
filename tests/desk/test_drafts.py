"""Half-written calls and notes survive a crash and do not come back once written."""

import json
import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta

import pytest

from servicedesk.desk.drafts import (
    Draft,
    Drafts,
    call_as_draft,
    call_of_draft,
    drafts_of,
    offered,
)
from servicedesk.desk.intake import CallDraft, write_call
from servicedesk.values.trouble import Trouble
from tests.builders import a_site

AT = datetime(2026, 10, 14, 14, 0, tzinfo=UTC)


def a_draft(uid="a1", *, kind="call", minutes=0, **values):
    return Draft(
        uid=uid,
        kind=kind,
        title="118 Dry Hollow Lane",
        saved_at=AT + timedelta(minutes=minutes),
        values=values or {"own_words": "red light, “Łódź”"},
    )


@pytest.fixture
def drafts(tmp_path):
    return Drafts(tmp_path / "drafts", who="Ines", place="company.store")


def test_what_was_kept_is_offered_again_latest_first(drafts, tmp_path):
    drafts.save(a_draft("old"))
    drafts.save(a_draft("new", kind="visit", minutes=5))
    drafts.save(a_draft("old", minutes=9, own_words="more"))

    again = Drafts(tmp_path / "drafts", who="Ines", place="company.store")

    assert [(d.uid, d.values) for d in again.all()] == [
        ("old", {"own_words": "more"}),
        ("new", {"own_words": "red light, “Łódź”"}),
    ]
    assert [d.uid for d in again.all("visit")] == ["new"]
    again.remove("old")
    again.remove("never there")
    assert [d.uid for d in drafts.all()] == ["new"]


def test_each_person_and_each_store_has_drafts_of_its_own(drafts, tmp_path):
    drafts.save(a_draft())

    assert Drafts(tmp_path / "drafts", who="Ada", place="company.store").all() == ()
    assert Drafts(tmp_path / "drafts", who="Ines", place="other.store").all() == ()


def test_a_damaged_file_is_put_aside_and_not_lost(drafts):
    drafts.save(a_draft())
    whole = drafts.path.read_text(encoding="utf-8")
    drafts.path.write_text(whole[:-20], encoding="utf-8")

    assert drafts.all() == ()

    aside = drafts.path.with_suffix(".unreadable")
    assert aside.read_text(encoding="utf-8") == whole[:-20]
    drafts.path.write_text(json.dumps({"format": 99, "drafts": []}), encoding="utf-8")
    assert drafts.all() == ()
    assert "99" in aside.read_text(encoding="utf-8")


def test_a_folder_that_cannot_be_written_is_said_in_a_sentence(tmp_path):
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    drafts = Drafts(tmp_path / "file", who="Ines", place="company.store")

    with pytest.raises(Trouble, match="cannot be kept") as caught:
        drafts.save(a_draft())

    assert caught.value.do


def test_a_process_killed_while_it_keeps_drafts_leaves_whole_ones(drafts, tmp_path):
    script = (
        "import sys, pathlib, itertools\n"
        "from datetime import datetime, UTC\n"
        "from servicedesk.desk.drafts import Draft, Drafts\n"
        "drafts = Drafts(pathlib.Path(sys.argv[1]), who='Ines', place='company.store')\n"
        "for n in itertools.count():\n"
        "    drafts.save(Draft(uid='u', kind='call', title='t', saved_at=datetime.now(UTC),"
        " values={'text': str(n % 10) * 200000}))\n"
        "    print(n, flush=True)\n"
    )
    for _ in range(3):
        process = subprocess.Popen(
            [sys.executable, "-c", script, str(tmp_path / "drafts")],
            stdout=subprocess.PIPE,
            env={**os.environ},
        )
        for _ in range(5):
            process.stdout.readline()
        for _ in range(300):  # whoever looks in the middle of it sees a whole file
            json.loads(drafts.path.read_text(encoding="utf-8"))
        process.kill()
        process.wait()
        process.stdout.close()

        (draft,) = drafts.all()
        text = draft.values["text"]
        assert len(text) == 200_000
        assert len(set(text)) == 1


def test_a_call_comes_back_as_it_was_left(desk, drafts):
    site = a_site(desk)
    call = CallDraft(
        site_id=site.id,
        symptoms=("high-water-alarm", "no-spray"),
        own_words="red light",
        answers={"breaker": "no"},
        called_at=desk.clock.now(),
    )
    drafts.save(call_as_draft(desk, call, "118 Dry Hollow Lane"))

    (kept,) = offered(desk, drafts)

    assert call_of_draft(kept) == call
    assert kept.title == "118 Dry Hollow Lane"


def test_a_draft_whose_call_was_written_is_not_offered_again(desk, drafts):
    written, waiting = CallDraft(caller="Pell"), CallDraft(caller="Tamsin")
    drafts.save(call_as_draft(desk, written, "Pell"))
    drafts.save(call_as_draft(desk, waiting, "Tamsin"))
    write_call(desk, written)  # and the program ended before the draft was removed

    assert [d.uid for d in offered(desk, drafts)] == [waiting.uid]
    assert [d.uid for d in drafts.all()] == [waiting.uid]


def test_a_draft_of_another_version_opens_with_what_it_knows(drafts):
    strange = a_draft(own_words="red light", symptoms=["no-spray"], new_field=1)

    call = call_of_draft(strange)

    assert (call.own_words, call.symptoms, call.site_id) == ("red light", ("no-spray",), None)
    with pytest.raises(ValueError, match="letter"):
        a_draft(kind="letter")


def test_the_drafts_of_a_desk_lie_in_the_folder_given(desk, tmp_path):
    drafts_of(desk, tmp_path).save(a_draft())

    assert len(list(tmp_path.glob("drafts-*.json"))) == 1
    assert drafts_of(desk.seated("Ada"), tmp_path).all() == ()
