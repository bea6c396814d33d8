"""Slow conclusions of the last session, in files beside the store: a start does not draw them anew.

Derived data: dropping the files changes no figure (tested). A file is believed only if its seal
fits (program, store, latest change, day) and its checksum too; anything else is computed anew
without a word. They hold numbers, days and names of knowledge, nothing about a person.
"""

import hashlib
import io
import os
import pickle
import sys
from collections.abc import Iterable
from datetime import date
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final
from weakref import WeakKeyDictionary

import servicedesk
from servicedesk.desk.roads import roads_folder
from servicedesk.records.store import Store
from servicedesk.trade.knowledge import all_shipped, use_parsed
from servicedesk.values.resources import resource
from servicedesk.values.trouble import Trouble

FORMAT = b"servicedesk conclusion 1\n"
NOTHING: Final = object()
"""The answer where no file can be believed."""

_SEAL_SIGNS = 64
_PLAIN = (date, dict, frozenset, set)
_knows: list[bool] = []
_of_store: "WeakKeyDictionary[Store, ConclusionFiles]" = WeakKeyDictionary()


class ConclusionFiles:
    """One file for each name, in one folder. Never raises for what is wrong with a file."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def read(self, name: str, seal: str, holds: Iterable[type]) -> Any:
        """What was written under `name` with this `seal`, else NOTHING.

        Only objects of the classes in `holds` are made of it, whatever the file says.
        """
        try:
            raw = self._path(name).read_bytes()
        except OSError:
            return NOTHING
        begin = len(FORMAT) + 2 * _SEAL_SIGNS
        head, body = raw[:begin], raw[begin:]
        if head != _head(seal, body):
            return NOTHING
        try:
            return _Reader(body, (*_PLAIN, *holds)).load()
        except (pickle.UnpicklingError, ValueError, TypeError, AttributeError, EOFError):
            return NOTHING

    def write(self, name: str, seal: str, value: object) -> None:
        """Keep `value`. Where nothing can be written the next start computes it again."""
        body = _written(value)
        path = self._path(name)
        half = path.with_name(f"{path.name}.{os.getpid()}.making")
        try:
            self.folder.mkdir(exist_ok=True)
            half.write_bytes(_head(seal, body) + body)
            half.replace(path)
        except OSError:
            half.unlink(missing_ok=True)

    def _path(self, name: str) -> Path:
        return self.folder / f"{name.replace(' ', '-')}.kept"


def keep_conclusions(store: Store) -> None:
    """From now on keep the slow conclusions of this store beside it."""
    try:
        folder = roads_folder(store.place).with_suffix(".conclusions")
    except Trouble:  # a store on a server, and this person has no data folder
        return
    _of_store[store] = ConclusionFiles(folder)
    _take_knowledge(store, _of_store[store])


def _take_knowledge(store: Store, files: ConclusionFiles) -> None:
    """Once in a process: what the knowledge files say, parsed by an earlier start or now."""
    if _knows:
        return
    _knows.append(True)
    seal = seal_of(store, "knowledge")
    contents = files.read("knowledge", seal, ())
    if contents is NOTHING:
        contents = all_shipped()
        files.write("knowledge", seal, contents)
    use_parsed(contents)


def files_of(store: Store) -> ConclusionFiles | None:
    """The files of a store, None where nobody asked to keep them."""
    return _of_store.get(store)


def seal_of(store: Store, *parts: object) -> str:
    """What a conclusion follows from, in short: this program, this store, and `parts`."""
    place = store.shown if not store.is_file else str(Path(store.place).absolute())
    told = (sys.version_info[:3], program_seal(), place, parts)
    return hashlib.sha256(repr(told).encode()).hexdigest()


@cache
def program_seal() -> str:
    """Changes with the program and with the knowledge that travels with it."""
    sealed = hashlib.sha256(servicedesk.__version__.encode())
    for top in (Path(servicedesk.__file__).parent, Path(str(resource("trade")))):
        for folder, inner, names in os.walk(top):
            inner.sort()
            for name in sorted(names):
                if name.endswith((".py", ".yaml", ".json")):
                    stood = Path(folder, name).stat()
                    told = f"{folder}/{name} {stood.st_size} {stood.st_mtime_ns}\n"
                    sealed.update(told.encode())
    return sealed.hexdigest()


def _head(seal: str, body: bytes) -> bytes:
    return FORMAT + seal.encode() + hashlib.sha256(body).hexdigest().encode()


def _written(value: object) -> bytes:
    told = io.BytesIO()
    pickler = pickle.Pickler(told, protocol=5)
    pickler.dispatch_table = {MappingProxyType: lambda mapping: (dict, (dict(mapping),))}
    pickler.dump(value)
    return told.getvalue()


class _Reader(pickle.Unpickler):
    """Makes objects of the classes named to it, of no others, and calls nothing else."""

    def __init__(self, body: bytes, holds: Iterable[type]) -> None:
        super().__init__(io.BytesIO(body))
        self._known = {(kind.__module__, kind.__qualname__): kind for kind in holds}

    def find_class(self, module: str, name: str) -> Any:
        """One of the classes; anything else is no file of ours."""
        try:
            return self._known[module, name]
        except KeyError as error:
            raise pickle.UnpicklingError(f"{module}.{name} is not expected here") from error
