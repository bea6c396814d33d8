"""A disk without room, a file or folder that may only be read: told in a sentence, nothing lost.

The full disk is a real small file system where this machine lets one be mounted; otherwise the
file is held at its size by `PRAGMA max_page_count`, which gives the same code, SQLITE_FULL.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import event

from servicedesk.records.attachments import Attachment
from servicedesk.records.content import FolderContent
from servicedesk.records.copying import backup, check, export
from servicedesk.records.sites import Site
from servicedesk.records.store import create_store, open_store
from servicedesk.values.trouble import Trouble
from tests.conftest import cannot_run
from tests.records.rows import a_site, a_visit, many_sites
from tests.records.snapshot import snapshot


@pytest.fixture
def small_disk() -> Iterator[Path]:
    """A file system of 1.5 MB."""
    folder = Path(tempfile.mkdtemp(prefix="sdsmall"))
    mounted = (
        sys.platform == "linux"
        and not subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=1536k", "tmpfs", str(folder)],
            check=False,
            capture_output=True,
        ).returncode
    )
    if not mounted:
        folder.rmdir()
        cannot_run("no small disk can be mounted here", mend="run these tests as root on Linux")
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)
    folder.rmdir()


def fill(folder: Path, *, leave: int = 0) -> Path:
    """Take all the room that is left (but `leave` bytes)."""
    ballast = folder / "ballast"
    free = shutil.disk_usage(folder).free - leave
    ballast.write_bytes(bytes(free))
    return ballast


def bulk(store, first: int = 1000) -> None:
    with store.change("Ines", "Brought in a list") as work:
        many_sites(work, 400, first=first)


def test_a_full_disk_is_told_and_nothing_written_earlier_is_harmed(small_disk, empty_file):
    place = small_disk / "company.store"
    shutil.copyfile(empty_file, place)
    store = open_store(place)
    a_visit(store)
    before = snapshot(store)
    ballast = fill(small_disk, leave=64 * 1024)

    with pytest.raises(Trouble, match=r"disk of .* is full.*was harmed\. Free some space"):
        bulk(store)

    assert snapshot(store) == before
    assert check(store).faults == ()
    store.close()
    store = open_store(place)  # also after the program was closed on the full disk
    assert snapshot(store) == before
    ballast.unlink()
    a_visit(store)  # and with some space again, work goes on
    assert check(store).faults == ()
    store.close()


def test_copies_and_papers_on_a_full_disk_are_whole_or_not_there(file_store, small_disk):
    bulk(file_store)
    fill(small_disk, leave=32 * 1024)

    with pytest.raises(Trouble, match="is full"):
        backup(file_store, small_disk / "backup.store")
    with pytest.raises(Trouble, match="is full"):
        FolderContent(small_disk / "files").put(bytes(100_000))
    with pytest.raises(Trouble, match="is full"):
        export(file_store, small_disk / "export")
    # without any room the library may not even open its files, and says no more than that
    with pytest.raises(Trouble, match=r"is full|and has room"):
        create_store(small_disk / "new.store")

    left = sorted(p.name for p in small_disk.rglob("*") if p.is_file() and p.suffix != ".csv")
    assert left == ["ballast"]


def test_a_file_that_may_not_grow_is_told_as_a_full_disk(file_store):
    """The same code without a mount: works on every machine."""
    a_visit(file_store)
    before = snapshot(file_store)

    @event.listens_for(file_store.database, "engine_connect")
    def hold(connection):
        pages = connection.connection.driver_connection.execute("PRAGMA page_count").fetchone()[0]
        connection.connection.driver_connection.execute(f"PRAGMA max_page_count = {pages + 2}")

    file_store.database.dispose()
    with pytest.raises(Trouble, match=r"is full.*Free some space and try again"):
        bulk(file_store)

    assert snapshot(file_store) == before
    assert check(file_store).faults == ()


def as_an_ordinary_user(work) -> str:
    """What `work` says as trouble, done by somebody whom the rights of files bind.

    For root no file is read-only; a child process then gives up its rights first.
    """
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        with pytest.raises(Trouble) as told:
            work()
        return str(told.value)
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.setgid(65534)
            os.setuid(65534)
            work()
            said = "no trouble"
        except Trouble as trouble:
            said = str(trouble)
        except BaseException as error:
            said = f"crashed: {error!r}"
        os.write(writer, said.encode())
        os._exit(0)
    os.close(writer)
    with os.fdopen(reader, "rb") as pipe:
        said = pipe.read().decode()
    os.waitpid(child, 0)
    return said


@pytest.fixture
def open_folder(empty_file) -> Iterator[Path]:
    """A folder with a store that everybody may reach and write."""
    folder = Path(tempfile.mkdtemp(prefix="sdopen"))
    folder.chmod(0o777)
    shutil.copyfile(empty_file, folder / "company.store")
    (folder / "company.store").chmod(0o666)
    yield folder
    folder.chmod(0o777)
    shutil.rmtree(folder)


def open_and_close(place: Path) -> None:
    store = open_store(place)
    store.close()


@pytest.mark.filterwarnings("ignore:.*fork:DeprecationWarning")
@pytest.mark.parametrize("which", ["file", "folder"])
def test_a_store_that_may_only_be_read_is_told_when_opened(open_folder, which):
    place = open_folder / "company.store"
    (place if which == "file" else open_folder).chmod(0o444 if which == "file" else 0o555)

    said = as_an_ordinary_user(lambda: open_and_close(place))

    assert "may only be read. Give yourself the right to write to it and to its folder." in said
    assert sorted(p.name for p in open_folder.iterdir()) == ["company.store"]


@pytest.mark.filterwarnings("ignore:.*fork:DeprecationWarning")
@pytest.mark.parametrize(
    ("verb", "sentence"),
    [
        (lambda f: create_store(f / "new.store"), "is reachable, may be written"),
        (lambda f: FolderContent(f / "files").put(b"x"), "cannot be written"),
        (lambda f: open_and_close(f / "hidden" / "company.store"), "cannot be read"),
    ],
    ids=["a new store", "a paper", "a store in a closed folder"],
)
def test_a_folder_that_may_not_be_written_is_told(open_folder, verb, sentence):
    (open_folder / "hidden").mkdir(mode=0o700)
    shutil.copyfile(open_folder / "company.store", open_folder / "hidden" / "company.store")
    (open_folder / "hidden").chmod(0o000)
    open_folder.chmod(0o555)

    assert sentence in as_an_ordinary_user(lambda: verb(open_folder))

    (open_folder / "hidden").chmod(0o700)


def test_a_store_that_became_read_only_while_open_is_told(file_store):
    """`PRAGMA query_only` gives the code of a read-only file, SQLITE_READONLY, for root too."""
    a_visit(file_store)
    before = snapshot(file_store)

    @event.listens_for(file_store.database, "engine_connect")
    def only_read(connection):
        connection.connection.driver_connection.execute("PRAGMA query_only = ON")

    with pytest.raises(Trouble, match="may only be read"):
        a_visit(file_store)
    assert snapshot(file_store) == before


def test_a_damaged_file_is_told_and_not_touched(file_store):
    bulk(file_store)
    file_store.close()
    place = Path(file_store.place)
    content = bytearray(place.read_bytes())
    content[4096 : len(content)] = bytes(len(content) - 4096)
    place.write_bytes(content)

    with pytest.raises(Trouble, match=r"is damaged.*servicedesk store restore"):
        open_store(place)

    assert place.read_bytes() == content


def test_a_photo_whose_bytes_are_gone_or_altered_is_found(file_store):
    kept = file_store.content.put(b"a photo")
    other = file_store.content.put(b"another photo")
    with file_store.change("Ines", "Kept two photos") as work:
        site = a_site(work)
        for sha256 in (kept, other):
            work.add(
                Attachment(
                    sha256=sha256, name="a", media_type="image/jpeg", n_bytes=7, site_id=site.id
                )
            )
    assert check(file_store).faults == ()
    folder = Path(f"{file_store.place}.files")
    (folder / kept[:2] / kept).unlink()
    (folder / other[:2] / other).write_bytes(b"something else")

    assert sorted(check(file_store).faults) == [
        "The bytes of one attachment are missing.",
        "The bytes of one attachment were altered.",
    ]
    assert file_store.content.put(b"a photo") == kept  # put again, it is whole again
    with file_store.read() as session:
        assert session.get(Site, site.id) is not None
