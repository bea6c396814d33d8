"""Conclusions kept from one session to the next change no figure, whatever befalls their files."""

import pickle
import shutil
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from servicedesk.desk import conclusion_files, learned, thread_facts, windows
from servicedesk.desk.conclusion_files import NOTHING, ConclusionFiles, keep_conclusions
from servicedesk.desk.office import Desk
from servicedesk.desk.today import todays_page
from servicedesk.records.store import open_store
from servicedesk.trade import knowledge
from servicedesk.values.resources import resource
from tests.builders import a_contract, a_done_visit, a_site
from tests.desk.test_cases import a_callback

SPRING = date(2026, 4, 14)
PROVED = {"cause_id": "pump-jammed", "cause_known_by": "a direct check", "fix": "fixed"}


@pytest.fixture
def kept_desk(file_desk: Desk) -> Desk:
    """A desk whose conclusions are kept, with something to conclude."""
    site = a_site(file_desk)
    a_contract(file_desk, site)
    a_callback(file_desk, site, SPRING, job=PROVED)
    keep_conclusions(file_desk.store)
    return file_desk


def next_session(desk: Desk, *, keeps: bool = True, place: Path | None = None) -> Desk:
    """Somebody sits down at the same store, or at a copy, in a process that knows nothing."""
    store = open_store(place or desk.store.place, now=desk.store.now)
    if keeps:
        keep_conclusions(store)
    return replace(desk, store=store)


def concluded(desk: Desk) -> tuple[object, ...]:
    """Everything that is kept in files, and a page that stands on it."""
    return (
        windows.current_windows(desk),
        windows.current_windows(desk, day=desk.today + timedelta(days=70)),
        thread_facts.quiet_model(desk),
        learned.learned(desk),
        todays_page(desk),
    )


def spoiled(path: Path, how: str) -> None:
    whole = path.read_bytes()
    match how:
        case "cut off":
            path.write_bytes(whole[: len(whole) // 2])
        case "one bit":
            day_2026, day_2027 = b"\x07\xea", b"\x07\xeb"  # a year as `pickle` writes it
            path.write_bytes(whole.replace(day_2026, day_2027, 1))
        case "empty":
            path.write_bytes(b"")
        case "a folder":
            path.unlink()
            path.mkdir()


def test_the_next_session_reads_what_this_one_computed(kept_desk, monkeypatch):
    before = concluded(kept_desk)
    assert before[0]
    assert before[3].n_cases("high-water-alarm") == 1

    def never(*_args: object, **_more: object) -> None:
        raise AssertionError("computed anew")

    monkeypatch.setattr(windows, "_windows", never)
    monkeypatch.setattr(learned, "confirmed_cases", never)
    monkeypatch.setattr(thread_facts, "fixes_seen", never)

    assert concluded(next_session(kept_desk)) == before


def test_sites_where_nothing_changed_are_not_read_again(kept_desk, monkeypatch):
    concluded(kept_desk)
    other = a_site(kept_desk, "9 Tessing Road")
    a_callback(kept_desk, other, SPRING, job=PROVED)
    read: list[list[int]] = []
    plain = learned._read

    def noted(desk: Desk, session: object, stale: list[int], *, of: int) -> object:
        read.append(stale)
        return plain(desk, session, stale, of=of)

    monkeypatch.setattr(learned, "_read", noted)

    found = learned.learned(next_session(kept_desk))

    assert found.n_cases("high-water-alarm") == 2
    assert read == [[other.id]]


@pytest.mark.parametrize("how", ["cut off", "one bit", "empty", "a folder", "gone"])
def test_a_spoiled_file_is_computed_anew_without_a_word(kept_desk, how):
    before = concluded(kept_desk)
    folder = Path(kept_desk.store.place).with_suffix(".conclusions")
    found = sorted(folder.iterdir())
    assert len(found) == 5
    if how == "gone":
        shutil.rmtree(folder)
    else:
        for path in found:
            spoiled(path, how)

    assert concluded(next_session(kept_desk)) == before


def test_without_files_the_figures_are_the_same(kept_desk):
    assert concluded(kept_desk) == concluded(next_session(kept_desk, keeps=False))


def test_a_change_between_two_sessions_is_seen(kept_desk):
    concluded(kept_desk)
    plain = next_session(kept_desk, keeps=False)
    other = a_site(plain, "9 Tessing Road")
    a_contract(plain, other)
    a_done_visit(plain, other, plain.today)
    a_callback(plain, other, SPRING + timedelta(days=30), job=PROVED)

    after = concluded(next_session(kept_desk))

    assert after == concluded(plain)
    assert after[3].n_cases("high-water-alarm") == 2


def test_another_day_is_another_conclusion(kept_desk):
    before = concluded(kept_desk)
    later = replace(kept_desk.clock, fixed_day=kept_desk.today + timedelta(days=200))

    after = concluded(replace(next_session(kept_desk), clock=later))

    assert after[0] != before[0]
    assert after == concluded(replace(next_session(kept_desk, keeps=False), clock=later))


def test_a_restored_backup_that_went_another_way_is_not_taken_for_this_store(kept_desk, tmp_path):
    concluded(kept_desk)
    kept_desk.store.close()
    backup = tmp_path / "backup.store"
    shutil.copy(kept_desk.store.place, backup)
    site = a_site(kept_desk, "1 Lane")
    a_callback(kept_desk, site, SPRING, job=PROVED)  # as many changes as below, other ones
    concluded(kept_desk)
    kept_desk.store.close()
    shutil.copy(backup, kept_desk.store.place)
    again = next_session(kept_desk, keeps=False)
    other = {**PROVED, "cause_id": "pump-windings-open"}
    a_callback(again, a_site(again, "2 Lane"), SPRING + timedelta(days=9), job=other)

    assert concluded(next_session(kept_desk)) == concluded(again)


def test_another_program_computes_anew(kept_desk, monkeypatch):
    concluded(kept_desk)
    monkeypatch.setattr(conclusion_files, "program_seal", lambda: "another")
    monkeypatch.setattr(windows, "_windows", lambda *_: ("computed anew",))

    assert windows.current_windows(next_session(kept_desk)) == ("computed anew",)


class _Opens:
    """An object whose making would do something."""

    def __reduce__(self) -> tuple[object, ...]:
        return (print, ("this must not run",))


def test_a_file_makes_only_what_is_expected(tmp_path, capsys):
    files = ConclusionFiles(tmp_path)
    files.write("planted", "0" * 64, _Opens())
    assert pickle.loads(pickle.dumps(_Opens())) is None  # noqa: S301 - it would run
    assert capsys.readouterr().out

    assert files.read("planted", "0" * 64, (windows.SiteWindow,)) is NOTHING
    assert not capsys.readouterr().out


def test_knowledge_parsed_by_an_earlier_start_is_the_same():
    contents = knowledge.all_shipped()
    assert ("faults", "symptoms.yaml") in contents
    assert len(contents) == len(list(Path(str(resource("trade"))).rglob("*.yaml")))
    kept = pickle.loads(pickle.dumps(contents))  # noqa: S301 - our own

    knowledge.use_parsed(kept)

    parsed = contents["faults", "symptoms.yaml"]
    first = knowledge.shipped_yaml("faults", "symptoms.yaml")
    second = knowledge.shipped_yaml("faults", "symptoms.yaml")
    assert first == second == parsed
    assert first is not second  # given once: who changes it changes it for nobody else
    knowledge._READY.clear()
