"""How knowledge files are read: YAML under ``resources/trade``, values checked as they are taken.

A file that is wrong is refused with a `KnowledgeFault`: which file, which key, what is wrong.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import yaml

from servicedesk.values.reason import Reason
from servicedesk.values.resources import resource

# the C parser reads the same language some ten times faster; a build without it still works
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class KnowledgeFault(Exception):
    """A knowledge file or a rule of the company says something that cannot be meant.

    `file` and `key` say where (key in dotted form, "versions.0.visits"), `reason` what is wrong,
    as a code with values for `words.reasons`.
    """

    def __init__(self, file: str, key: str, reason: Reason) -> None:
        super().__init__(f"{file}: {key}: {reason.code} {dict(reason.values)}")
        self.file = file
        self.key = key
        self.reason = reason


def parsed_yaml(text: str, *, file: str) -> Any:
    """The content of a YAML text; `KnowledgeFault` naming the line where it is no YAML."""
    try:
        return yaml.load(text, Loader=_LOADER)  # noqa: S506 - both loaders are the safe ones
    except yaml.YAMLError as trouble:
        mark = getattr(trouble, "problem_mark", None)
        line = 0 if mark is None else mark.line + 1
        raise KnowledgeFault(file, f"line {line}", Reason.of("not_yaml", line=line)) from trouble


Contents = dict[tuple[str, ...], Any]
"""What bundled files say, by their place under ``resources/trade``."""

_READY: Contents = {}


def shipped_yaml(*parts: str) -> Any:
    """The content of the bundled file ``resources/trade/part/part``."""
    if parts in _READY:
        return _READY.pop(parts)  # whoever asks may keep it and change it: given once
    text = resource("trade", *parts).read_text(encoding="utf-8")
    return parsed_yaml(text, file="/".join(parts))


def use_parsed(contents: Contents) -> None:
    """Take these contents in place of reading their files: the same, parsed by an earlier start."""
    _READY.update(contents)


def all_shipped() -> Contents:
    """The contents of every bundled file."""
    return {parts: shipped_yaml(*parts) for parts in _places(())}


def _places(folder: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    for one in sorted(resource("trade", *folder).iterdir(), key=lambda f: f.name):
        if one.is_dir():
            yield from _places((*folder, one.name))
        elif one.name.endswith(".yaml"):
            yield (*folder, one.name)


def shipped_files(*parts: str) -> tuple[str, ...]:
    """Names of the YAML files in the bundled folder ``resources/trade/part``, sorted."""
    folder = resource("trade", *parts)
    return tuple(sorted(f.name for f in folder.iterdir() if f.name.endswith(".yaml")))


@dataclass(frozen=True, slots=True)
class Entry:
    """One mapping of a knowledge file, with the place where it stands.

    The take-methods return a value of the type asked for or raise `KnowledgeFault`. A key that
    is absent or null counts as not stated.
    """

    file: str
    path: str
    values: Mapping[str, Any]

    @classmethod
    def of(cls, value: Any, *, file: str, path: str) -> "Entry":
        """`value` as an entry; a fault if it is no mapping."""
        if not isinstance(value, Mapping):
            raise KnowledgeFault(file, path, Reason.of("not_a_mapping", value=value))
        return cls(file, path, value)

    def fault(self, key: str, code: str, **values: Any) -> KnowledgeFault:
        """A fault at `key` of this entry, ready to be raised."""
        return KnowledgeFault(self.file, self._at(key), Reason.of(code, **values))

    def known_only(self, *allowed: str) -> None:
        """A fault at the first key that is not one of `allowed`: a typing slip is not ignored."""
        for key in self.values:
            if key not in allowed:
                raise self.fault(str(key), "unknown_key", allowed=tuple(sorted(allowed)))

    def has(self, key: str) -> bool:
        """Is something stated at `key`?"""
        return self.values.get(key) is not None

    def text(self, key: str, default: str | None = None) -> str:
        """A text that is not empty."""
        value = self.values.get(key)
        if value is None and default is not None:
            return default
        if not isinstance(value, str) or not value.strip():
            raise self.fault(key, "not_a_text", value=value)
        return value

    def maybe_text(self, key: str) -> str | None:
        """A text, or None where nothing is stated."""
        return self.text(key) if self.has(key) else None

    def whole(self, key: str, *, least: int = 0, most: int = 100_000) -> int:
        """A whole number from `least` to `most`."""
        value = self.values.get(key)
        if not isinstance(value, int) or isinstance(value, bool):
            raise self.fault(key, "not_a_whole_number", value=value)
        if not least <= value <= most:
            raise self.fault(key, "out_of_range", value=value, least=least, most=most)
        return value

    def maybe_whole(self, key: str, *, least: int = 0, most: int = 100_000) -> int | None:
        """A whole number, or None where nothing is stated."""
        return self.whole(key, least=least, most=most) if self.has(key) else None

    def number(self, key: str) -> float:
        """A number."""
        value = self.values.get(key)
        if not isinstance(value, int | float) or isinstance(value, bool):
            raise self.fault(key, "not_a_number", value=value)
        return float(value)

    def maybe_number(self, key: str) -> float | None:
        """A number, or None where nothing is stated."""
        return self.number(key) if self.has(key) else None

    def flag(self, key: str, *, default: bool) -> bool:
        """Yes or no."""
        value = self.values.get(key, default)
        if not isinstance(value, bool):
            raise self.fault(key, "not_yes_or_no", value=value)
        return value

    def maybe_day(self, key: str) -> date | None:
        """A calendar day (YAML reads 2026-10-15 as one), or None where nothing is stated."""
        value = self.values.get(key)
        if value is None or (isinstance(value, date) and type(value) is date):
            return value
        raise self.fault(key, "not_a_day", value=value)

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts, empty where nothing is stated."""
        value = self.values.get(key)
        if value is None:
            return ()
        if not isinstance(value, Sequence) or isinstance(value, str):
            raise self.fault(key, "not_a_list", value=value)
        for item in value:
            if not isinstance(item, str):
                raise self.fault(key, "not_a_text", value=item)
        return tuple(value)

    def one_of(self, key: str, allowed: Sequence[str], default: str | None = None) -> str:
        """A text that is one of `allowed`."""
        value = self.text(key, default)
        if value not in allowed:
            raise self.fault(key, "not_one_of", value=value, allowed=tuple(allowed))
        return value

    def entry(self, key: str) -> "Entry":
        """The mapping at `key`."""
        return Entry.of(self.values.get(key), file=self.file, path=self._at(key))

    def entries(self, key: str) -> Iterator["Entry"]:
        """The mappings of the list at `key`, none where nothing is stated."""
        value = self.values.get(key)
        if value is None:
            return
        if not isinstance(value, Sequence) or isinstance(value, str):
            raise self.fault(key, "not_a_list", value=value)
        for number, item in enumerate(value):
            yield Entry.of(item, file=self.file, path=self._at(f"{key}.{number}"))

    def _at(self, key: str) -> str:
        return f"{self.path}.{key}".strip(".")


def entries_of(content: Any, *, file: str) -> Iterator[Entry]:
    """The mappings of a file that is one list."""
    yield from Entry(file, "", {"": content}).entries("")
