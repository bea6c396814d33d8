"""Where a store's file lies: on a disk of this machine, on a share, or in a folder that is synced.

A SQLite file is safe only where its locks work and nothing else copies it while it is written
(sqlite.org, "How To Corrupt An SQLite Database File", sections 2.1 and 1.2).
"""

import os
import re
from pathlib import Path

from servicedesk.records.errors import store_trouble
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

MOUNTS = Path("/proc/mounts")
# file systems whose files lie on another machine; fuse.<name> is looked up without "fuse."
NETWORK_TYPES = frozenset(
    {"nfs", "nfs4", "cifs", "smb", "smb2", "smb3", "smbfs", "smbnetfs", "ncpfs", "afs", "afpfs"}
    | {"9p", "davfs", "webdav", "sshfs", "ceph", "glusterfs", "lustre", "ocfs2", "gfs2"}
)
REMOTE_DRIVE = 4  # what Windows calls a drive letter that stands for a share
# how sync programs name the folders they watch and the hidden entries they leave there
SYNCED_FOLDER = re.compile(r"sync|cloud|\wdrive\b|^drive$|\bdrive$", re.IGNORECASE)
SYNC_ENTRY = re.compile(r"sync|cloud|drive|box|folder$", re.IGNORECASE)


def refuse_network_share(place: str | Path) -> None:
    """Raise Trouble, with advice, if the file would lie on another machine."""
    if is_network_share(Path(place)):
        raise _on_a_share(Path(place))


def _on_a_share(path: Path) -> Trouble:
    return store_trouble(
        say("{path} lies on a network share.", path=path),
        means=say("Two programs that write to one file there can destroy it."),
        do=say("Keep the store on a disk of this machine; for several seats use PostgreSQL."),
    )


def warnings_for(place: str | Path) -> tuple[str, ...]:
    """What to say about the place of a store's file; empty if there is nothing to say.

    Refusing a share is `refuse_network_share`'s; this only warns.
    """
    path = Path(place)
    marker = sync_marker(path)
    if marker is None:
        return ()
    return (
        say(
            "{path} seems to lie in a folder that a sync program watches ({marker}). It may copy "
            "the file half written. Keep the store elsewhere, and let backups be synced.",
            path=path,
            marker=marker,
        ),
    )


def is_network_share(path: Path) -> bool:
    """Does the file (or the folder it would be made in) lie on another machine?"""
    if os.name == "nt":
        return _is_windows_share(path)
    return _type_of_mount(path) in NETWORK_TYPES


def _is_windows_share(path: Path) -> bool:
    text = str(path)
    if text.startswith(("\\\\", "//")) and not text.startswith(("\\\\?\\", "\\\\.\\")):
        return True
    if text.upper().startswith("\\\\?\\UNC\\"):
        return True
    try:
        import ctypes

        drive = os.path.splitdrive(os.path.abspath(text))[0] + "\\"  # noqa: PTH100 (no resolving)
        kind: int = ctypes.windll.kernel32.GetDriveTypeW(drive)  # type: ignore[attr-defined]
    except (AttributeError, OSError):
        return False
    return kind == REMOTE_DRIVE


def _type_of_mount(path: Path) -> str:
    """The file system type of the mount that holds `path`, "" where that cannot be told."""
    try:
        lines = MOUNTS.read_text(encoding="utf-8", errors="surrogateescape").splitlines()
    except OSError:
        return ""
    real = os.path.realpath(path)
    best, found = -1, ""
    for line in lines:
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        point = _unescaped(fields[1])
        inside = real == point or real.startswith(point.rstrip("/") + "/")
        # of two mounts on one point the later lies on top
        if inside and len(point) >= best:
            best, found = len(point), fields[2]
    return found.removeprefix("fuse.")


def _unescaped(text: str) -> str:
    r"""A mount point as written by the kernel: a blank stands as \040."""
    for code, plain in (("\\040", " "), ("\\011", "\t"), ("\\012", "\n"), ("\\134", "\\")):
        text = text.replace(code, plain)
    return text


def _home() -> Path | None:
    try:
        return Path(os.path.realpath(Path.home()))
    except RuntimeError:  # no HOME, and nobody of that number is known
        return None


def sync_marker(path: Path) -> str | None:
    """By what a sync program can be told: a folder's name, or a hidden entry in it; else None.

    The home folder itself and what lies above is not asked: programs keep settings there.
    """
    folder = Path(os.path.realpath(path)).parent
    home = _home()
    for above in (folder, *folder.parents):
        if above == home or above == Path(above.anchor):
            return None
        if SYNCED_FOLDER.search(above.name):
            return above.name
        try:
            hidden = sorted(e.name for e in os.scandir(above) if e.name.startswith((".", "~")))
        except OSError:
            continue
        for name in hidden:
            if SYNC_ENTRY.search(name):
                return name
    return None
