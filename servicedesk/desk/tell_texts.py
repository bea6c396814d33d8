"""What customers are told, in their language: the program's texts, or the company's own.

A company's texts stand in a folder beside its store, one file a language ("tell-en.yaml"), each
with any of the entries that it says in other words.
"""

import hashlib
import string
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

from servicedesk.desk.places_on_disk import data_folder
from servicedesk.values.resources import resource
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

SHIPPED = ("en", "es")
FALLBACK = "en"
_ALL = frozenset(
    {"name", "company", "address", "day", "when", "work", "phone", "before", "time", "promised"}
)
_MAY: dict[str, frozenset[str]] = {
    "subject": _ALL, "new": _ALL, "moved": _ALL, "late": _ALL, "called_off": _ALL,
    "morning": frozenset(), "afternoon": frozenset(), "between": frozenset({"a", "b"}),
    "before": frozenset({"b"}), "after": frozenset({"a"}), "and": frozenset(),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class TellTexts:
    """The texts of one language. `is_own`: at least one of them is the company's."""

    language: str
    texts: Mapping[str, str]
    work: Mapping[str, str]
    is_own: bool

    def say(self, entry: str, **values: str) -> str:
        """An entry with what is put in."""
        return self.texts[entry].format(**values)


def texts_folder(place: str) -> Path:
    """Where the company's own texts lie: beside a store file, else in this person's data folder."""
    if "://" not in place:
        path = Path(place).absolute()
        return path.with_name(f"{path.stem}.texts")
    # the address may hold a password: only its hash is seen
    return data_folder() / f"{hashlib.sha256(place.encode()).hexdigest()[:16]}.texts"


def tell_texts(language: str, folder: Path | None = None) -> TellTexts:
    """The texts of a language, the company's before the program's; English where there are none.

    `language` of the answer says which it is. Raises Trouble for a file that cannot be used.
    """
    own = _own(folder, language) if folder is not None else {}
    if language not in SHIPPED and not own:
        return tell_texts(FALLBACK, folder) if language != FALLBACK else _made(FALLBACK, {})
    return _made(language, own)


def write_own_texts(folder: Path) -> tuple[Path, ...]:
    """Put the program's texts into the company's folder, to be edited; what is there stays.

    Returns all files. Raises Trouble if the folder cannot be written.
    """
    paths = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for language in SHIPPED:
            path = folder / f"tell-{language}.yaml"
            if not path.exists():
                path.write_bytes(resource("tell", f"{language}.yaml").read_bytes())
            paths.append(path)
    except OSError as error:
        raise Trouble(
            say("The texts could not be written to {folder}.", folder=folder),
            do=say("Make room there, or let this person write to it."),
        ) from error
    return tuple(paths)


def _made(language: str, own: Mapping[str, Any]) -> TellTexts:
    base = dict(_shipped(language if language in SHIPPED else FALLBACK))
    work = {**base.pop("work"), **own.get("work", {})}
    texts = {**base, **{name: text for name, text in own.items() if name != "work"}}
    return TellTexts(language, texts, work, bool(own))


@lru_cache
def _shipped(language: str) -> Mapping[str, Any]:
    read: dict[str, Any] = yaml.safe_load(resource("tell", f"{language}.yaml").read_text("utf-8"))
    return read


def _own(folder: Path, language: str) -> Mapping[str, Any]:
    """The company's entries of a language, looked at; none where there is no file."""
    # a language comes from a record: it names a file here and nowhere else
    if not language.replace("-", "").replace("_", "").isalnum():
        return {}
    path = folder / f"tell-{language}.yaml"
    try:
        text = path.read_text("utf-8-sig")
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError) as error:
        raise _unusable(path, say("it cannot be read as text")) from error
    try:
        read = yaml.safe_load(text)
    except yaml.YAMLError as error:
        raise _unusable(path, say("it is no YAML")) from error
    if read is None:
        return {}
    wrong = _wrong_of(read)
    if wrong:
        raise _unusable(path, wrong)
    found: dict[str, Any] = read
    return found


def _wrong_of(read: object) -> str:
    """What is wrong with the entries of a file; empty if nothing is."""
    if not isinstance(read, dict):
        return say("it has no entries")
    for name, text in read.items():
        if name == "work":
            if not isinstance(text, dict) or not all(isinstance(t, str) for t in text.values()):
                return say("“work” must name kinds of work, each with its words")
        elif name not in _MAY:
            return say("“{name}” is no entry; there are {names}", name=name, names=", ".join(_MAY))
        elif not isinstance(text, str) or not text.strip():
            return say("“{name}” has no words", name=name)
        else:
            strange = _strange_braces(text, _MAY[name])
            if strange:
                return strange
    return ""


def _strange_braces(text: str, may: frozenset[str]) -> str:
    try:
        parts = list(string.Formatter().parse(text))
    except ValueError:
        return say("a brace in “{text}” is never closed", text=text[:40])
    for _, name, form, turned in parts:
        if name is not None and (name not in may or form or turned):
            return say(
                "“{name}” cannot be put in there; possible are {names}",
                name=f"{{{name}}}",
                names=", ".join(f"{{{one}}}" for one in sorted(may)) or say("none"),
            )
    return ""


def _unusable(path: Path, why: str) -> Trouble:
    return Trouble(
        say("The texts in {path} cannot be used: {why}.", path=path, why=why),
        do=say("Mend the file, or take it away: then the program's own texts are used."),
        exit_code=2,
    )
