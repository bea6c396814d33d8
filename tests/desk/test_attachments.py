"""Photos and papers of a site: added as one change, noted, taken off, their place taken."""

import pytest
from pypdf import PdfWriter

from servicedesk.desk.attachments import (
    add_files,
    attached,
    edit_file,
    open_copy,
    save_copy,
    take_off,
    take_place,
)
from servicedesk.desk.sitefile import site_file
from servicedesk.records.errors import StaleEdit
from servicedesk.records.health import check
from servicedesk.records.undo import undo_change
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_site, a_visit
from tests.exchange.test_photos import a_jpeg, degrees, tiff
from tests.records.snapshot import snapshot

GPS = (degrees(29, 57, 1476), b"N", degrees(94, 1, 1668), b"W")


@pytest.fixture
def files(tmp_path):
    """A photo with time and place, and a paper."""
    photo, paper = tmp_path / "IMG_0042.JPG", tmp_path / "permit.pdf"
    photo.write_bytes(a_jpeg(exif=tiff(6, "2026:10:13 16:20:00", "", GPS)))
    writer = PdfWriter()
    writer.add_blank_page(200, 200)
    writer.write(paper)
    return [photo, paper]


def test_files_are_added_as_one_change_that_can_be_taken_back(desk, files):
    site = a_site(desk)
    before = snapshot(desk.store)
    added = add_files(desk, site.id, files)
    paper, photo = attached(desk, site.id)
    assert (added.n, added.refused) == (2, ())
    assert (paper.row.name, paper.is_photo) == ("permit.pdf", False)
    assert (photo.row.name, photo.is_photo, photo.small[:2]) == ("IMG_0042.jpg", True, b"\xff\xd8")
    # 4:20 pm at the company, Eastern time in October: UTC - 4 h
    assert photo.row.taken_at.isoformat() == "2026-10-13T20:20:00+00:00"
    assert check(desk.store).faults == ()
    undo_change(desk.store, added.changed.change_id, who=desk.who)
    after = snapshot(desk.store)
    for one in (before, after):  # bytes that nobody names stay and harm nothing
        one.pop("content_chunk", None)
    assert after == before


def test_what_cannot_be_kept_is_told_and_the_rest_is_kept(file_desk, files, tmp_path):
    site = a_site(file_desk)
    bad = {
        "run.exe": b"MZ",
        "fake.pdf": b"MZ",
        "empty.jpg": b"",
        "IMG.HEIC": b"\0\0\0\x18ftypheic0",
    }
    for name, data in bad.items():
        (tmp_path / name).write_bytes(data)
    some = [tmp_path / name for name in bad] + [tmp_path / "gone.jpg"]
    added = add_files(file_desk, site.id, [*files, *some])
    assert added.n == 2
    assert len(added.refused) == 5
    for name, said in zip([*bad, "gone.jpg"], added.refused, strict=True):
        assert name in said
    before = snapshot(file_desk.store)
    assert add_files(file_desk, site.id, some).changed is None
    assert snapshot(file_desk.store) == before


def test_the_house_keeps_the_place_and_a_copy_that_leaves_does_not(file_desk, files, tmp_path):
    site = a_site(file_desk)
    add_files(file_desk, site.id, files[:1])
    (photo,) = attached(file_desk, site.id)
    assert photo.place.lat_deg == pytest.approx(29.9541)
    assert b"Exif" in open_copy(file_desk, photo.row.id).read_bytes()
    leaving = save_copy(file_desk, photo.row.id, tmp_path / "out" / "copy.jpg")
    assert b"Exif" not in leaving.read_bytes()


def test_the_place_of_a_photo_becomes_that_of_the_site_with_one_verb(file_desk, files):
    site = a_site(file_desk)
    add_files(file_desk, site.id, files)
    paper, photo = attached(file_desk, site.id)
    changed = take_place(file_desk, photo.row.id, site_id=site.id, seen=site.revision)
    position = site_file(file_desk, site.id).position
    assert (position.lat_deg, position.lon_deg) == (29.9541, -94.0213)
    undo_change(file_desk.store, changed.change_id, who=file_desk.who)
    assert site_file(file_desk, site.id).position is None
    with pytest.raises(Trouble, match="does not say where"):
        take_place(file_desk, paper.row.id, site_id=site.id, seen=site.revision)


def test_a_note_and_the_visit_are_written_and_a_stale_edit_refused(file_desk, files):
    site = a_site(file_desk)
    add_files(file_desk, site.id, files[:1])
    (photo,) = attached(file_desk, site.id)
    visit = a_visit(file_desk, site)
    seen = photo.row.revision
    edit_file(file_desk, photo.row.id, note="  lid north ", visit_id=visit.id, seen=seen)
    row = attached(file_desk, site.id)[0].row
    assert (row.note, row.visit_id, row.visit_on) == ("lid north", visit.id, TODAY)
    with pytest.raises(StaleEdit):
        edit_file(file_desk, photo.row.id, note="another", visit_id=None, seen=seen)
    elsewhere = a_visit(file_desk, a_site(file_desk, "9 Tessing Road"))
    with pytest.raises(ValueError, match="is not at site"):
        edit_file(file_desk, photo.row.id, note="", visit_id=elsewhere.id, seen=row.revision)


def test_what_is_taken_off_belongs_to_the_site_no_more_and_comes_back(file_desk, files):
    site = a_site(file_desk)
    add_files(file_desk, site.id, files[:1])
    (photo,) = attached(file_desk, site.id)
    changed = take_off(file_desk, photo.row.id, seen=photo.row.revision)
    assert attached(file_desk, site.id) == ()
    assert open_copy(file_desk, photo.row.id).exists()  # the bytes stay
    undo_change(file_desk.store, changed.change_id, who=file_desk.who)
    assert [one.row.id for one in attached(file_desk, site.id)] == [photo.row.id]


def test_a_file_of_a_visit_shows_with_the_site_and_its_day(file_desk, files):
    site, other = a_site(file_desk), a_site(file_desk, "9 Tessing Road")
    visit = a_visit(file_desk, site)
    add_files(file_desk, site.id, files[:1], visit_id=visit.id)
    assert [one.row.visit_on for one in attached(file_desk, site.id)] == [TODAY]
    assert attached(file_desk, other.id) == ()
    with pytest.raises(ValueError, match="is not at site"):
        add_files(file_desk, other.id, files[:1], visit_id=visit.id)
