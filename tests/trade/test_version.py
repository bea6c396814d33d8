"""The version of the fault knowledge: a hash (SHA-256, FIPS 180-4) of its files and own entries."""

from hashlib import sha256
from pathlib import Path

from servicedesk.trade import version
from servicedesk.trade.faults import knowledge
from servicedesk.trade.own import OwnEntry, knowledge_with
from servicedesk.trade.version import shipped_version, version_with
from servicedesk.values.resources import resource
from tests.trade.test_own import ENTRIES


def test_the_version_is_eight_digits_and_stands_in_the_knowledge():
    assert len(shipped_version()) == 8
    assert int(shipped_version(), 16) >= 0
    assert knowledge().version == shipped_version()


def test_every_file_of_the_fault_knowledge_counts():
    """The same digest, made here from the files as they lie on disk."""
    folder = Path(str(resource("trade", "faults")))
    digest = sha256()
    for inner in ("", "checks", "causes"):
        for path in sorted((folder / inner).glob("*.yaml")):
            digest.update(path.relative_to(folder).as_posix().encode())
            digest.update(path.read_bytes())

    assert shipped_version() == digest.hexdigest()[:8]


def test_own_entries_change_the_version_and_their_order_does_not():
    with_own = knowledge_with(ENTRIES).version
    other = [*ENTRIES[:-1], OwnEntry("weight", {**ENTRIES[-1].body, "weight": 9})]

    assert with_own != knowledge().version
    assert knowledge_with(reversed(ENTRIES)).version == with_own
    assert knowledge_with(other).version not in (with_own, knowledge().version)


def test_without_own_entries_it_is_the_version_of_the_program():
    assert version_with(()) == version.shipped_version()
