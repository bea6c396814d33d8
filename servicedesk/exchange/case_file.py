"""The bare file of a case of trouble: JSON, one case or a list, `format: 1` (see the README).

Every mistake in it becomes one sentence that names the file and the place in it; an id that is not
known is answered with the nearest one that is.
"""

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from rapidfuzz import fuzz, process

from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.case import Case, Earlier, Found, Outcome
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

FORMAT = 1
MOST_BYTES = 20_000_000
MOST_DAYS = 36_500
_CASE_KEYS = ("format", "id", "symptom", "findings", "site_has", "earlier_visits")
_VISIT_KEYS = ("days_before", "symptom", "outcome", "checks_done", "parts_changed")
# a key this much like a known one is a slip of the finger, another is a note of the writer's own
_SLIP = 80

_OUTCOMES: tuple[tuple[Outcome, str], ...] = (
    (
        "could not",
        r"could ?n[o']t|unable|no access|not (done|fixed|repaired)|locked (gate|out)|nobody home",
    ),
    (
        "no fault found",
        (
            r"\bnff\b|\bno (fault|problem|issue|trouble|cause)|nothing (found|wrong)"
            r"|(could ?n[o']t|unable to|did ?n[o']t) (find|reproduce|see)"
        ),
    ),
    ("reset only", r"\breset|silenced|cleared (the )?alarm"),
    (
        "workaround",
        r"work-?around|patch|temporar|\bfreed\b|by-?pass|jumper|dried|makeshift|tied (up|off)",
    ),
    (
        "fixed",
        (
            r"(?<!not )\b(fixed|repaired|replaced|renewed|mended|resolved|solved|corrected|swapped)"
            r"|rewired|(installed|put in|fitted) (a )?new|put (a )?new .+ in\b"
        ),
    ),
)
# that all is well says by itself that nothing was found; after a repair it says that it works
_WELL = (
    r"(works?|working|tested|all|ran|runs|running) (ok|fine|good|normally|as usual)|ok on arrival"
)


@dataclass(frozen=True, slots=True)
class FileCase:
    """A case with the id that its file gives it. `unclear`: outcomes that were not understood."""

    id: str
    case: Case
    unclear: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CaseFile:
    """The cases of a file in its order. `is_list`: whether the file holds a list of them."""

    cases: tuple[FileCase, ...]
    is_list: bool


def read_case_file(path: Path, knowledge: Knowledge) -> CaseFile:
    """The cases of a file. Raises Trouble with one sentence for whatever is wrong with it."""
    content = _json(path)
    if isinstance(content, Mapping) and "cases" in content:
        _refuse_format(content, path.name)
        content = content["cases"]
        if not isinstance(content, list):
            _wrong(path.name, say("cases"), say("must be a list of cases"))
    is_list = isinstance(content, list)
    entries = content if isinstance(content, list) else [content]
    if not entries:
        _wrong(path.name, "", say("holds no case"))
    cases = tuple(
        _Reader(path.name, at if is_list else 0, knowledge).case(entry)
        for at, entry in enumerate(entries, 1)
    )
    _refuse_twice(path.name, cases)
    return CaseFile(cases, is_list)


def outcome_of(text: str) -> Outcome | None:
    """The outcome that free words mean; None where they are not clear.

    "Reset, no fault found" and "could not find anything" are no fault found: nobody found the fault
    either way. What was fixed for the time being is a workaround.
    """
    words = " ".join(text.casefold().replace("_", " ").replace("’", "'").split())
    if not words:
        return ""
    meant = [outcome for outcome, pattern in _OUTCOMES if re.search(pattern, words)]
    if re.search(_WELL, words) and meant in ([], ["reset only"]):
        return "no fault found"
    if "reset only" in meant and len(meant) > 1:
        meant.remove("reset only")  # what went with it
    if meant == ["could not", "no fault found"]:
        return "no fault found"
    if meant == ["could not"]:
        return "could not"
    if meant == ["workaround", "fixed"] and "temporar" in words:
        return "workaround"
    return meant[0] if len(meant) == 1 else None


class _Reader:
    """Reads one case; knows the file and which case it is, for the sentences."""

    def __init__(self, file: str, at: int, knowledge: Knowledge) -> None:
        self.file, self.at, self.known = file, at, knowledge
        self.unclear: list[str] = []

    def case(self, entry: object) -> FileCase:
        values = self.mapping(entry, "", _CASE_KEYS)
        _refuse_format(values, self.file)
        name = values.get("id")
        if not isinstance(name, str | int) or isinstance(name, bool) or name == "":
            self.wrong("id", say("a case needs an id, a text or a number"))
        case = Case(
            symptoms=self.symptoms(values),
            found=tuple(
                self.finding(one, f"findings {n}")
                for n, one in enumerate(self.items(values, "findings"), 1)
            ),
            site_has=self.site_has(values),
            earlier=tuple(
                self.visit(one, f"earlier_visits {n}")
                for n, one in enumerate(self.items(values, "earlier_visits"), 1)
            ),
        )
        return FileCase(str(name), case, tuple(self.unclear))

    def symptoms(self, values: Mapping[str, Any]) -> tuple[str, ...]:
        said = values.get("symptom")
        ids = said if isinstance(said, list) else [said]
        if said is None or not ids:
            self.wrong("symptom", say("a case needs the id of a symptom"))
        return tuple(
            dict.fromkeys(self.id_of(one, self.known.symptoms, "symptom", "symptom") for one in ids)
        )

    def finding(self, entry: object, place: str) -> Found:
        values = self.mapping(entry, place, ("check", "result"))
        for key in ("check", "result"):
            if key not in values:
                self.wrong(place, say("{key} is missing", key=key))
        check = self.id_of(values["check"], self.known.checks, "check", f"{place}, check")
        return Found(check, self.result(check, values["result"], place))

    def result(self, check: str, said: object, place: str) -> str | None:
        if said is None:
            return None
        results = [result.id for result in self.known.checks[check].results]
        return self.id_of(said, results, say("result of {check}", check=check), f"{place}, result")

    def site_has(self, values: Mapping[str, Any]) -> frozenset[str] | None:
        if values.get("site_has") is None:
            return None
        from servicedesk.trade.components import equipment

        flags = [
            self.id_of(one, equipment(), "equipment", f"site_has {n}")
            for n, one in enumerate(self.items(values, "site_has"), 1)
        ]
        return frozenset(flags)

    def visit(self, entry: object, place: str) -> Earlier:
        values = self.mapping(entry, place, _VISIT_KEYS)
        return Earlier(
            days_before=self.days(values, place),
            symptom=self.visit_symptom(values.get("symptom"), place),
            outcome=self.outcome(values.get("outcome"), place),
            found=tuple(
                self.check_done(one, f"{place}, checks_done {n}")
                for n, one in enumerate(self.items(values, "checks_done", place), 1)
            ),
            changed=tuple(
                self.id_of(one, self.parts(), "part", f"{place}, parts_changed {n}")
                for n, one in enumerate(self.items(values, "parts_changed", place), 1)
            ),
        )

    def visit_symptom(self, said: object, place: str) -> str:
        if said is None or said == "":
            return ""
        return self.id_of(said, self.known.symptoms, "symptom", f"{place}, symptom")

    def check_done(self, entry: object, place: str) -> Found:
        if isinstance(entry, str):
            return Found(self.id_of(entry, self.known.checks, "check", place), None)
        values = self.mapping(entry, place, ("check", "result"))
        if "check" not in values:
            self.wrong(place, say("{key} is missing", key="check"))
        check = self.id_of(values["check"], self.known.checks, "check", f"{place}, check")
        return Found(check, self.result(check, values.get("result"), place))

    def parts(self) -> list[str]:
        from servicedesk.trade.components import components
        from servicedesk.trade.fault_lists import part_kinds

        of_causes = [part for cause in self.known.causes.values() for part in cause.parts]
        return list(dict.fromkeys([*part_kinds(), *components(), *of_causes]))

    def days(self, values: Mapping[str, Any], place: str) -> int:
        said = values.get("days_before")
        if isinstance(said, bool) or not isinstance(said, int | float) or said != said:  # noqa: PLR0124
            self.wrong(place, say("days_before must be a number of days"))
        if not 0 <= said <= MOST_DAYS:
            self.wrong(place, say("days_before must lie between 0 and {most}", most=MOST_DAYS))
        return int(said)

    def outcome(self, said: object, place: str) -> Outcome:
        if said is None:
            return ""
        if not isinstance(said, str):
            self.wrong(f"{place}, outcome", say("must be a text"))
        meant = outcome_of(said)
        if meant is None:
            self.unclear.append(said)
            return ""
        return meant

    def items(self, values: Mapping[str, Any], key: str, place: str = "") -> list[Any]:
        said = values.get(key)
        if said is None:
            return []
        if not isinstance(said, list):
            self.wrong(", ".join(p for p in (place, key) if p), say("must be a list"))
        return said

    def mapping(self, entry: object, place: str, keys: Iterable[str]) -> Mapping[str, Any]:
        if not isinstance(entry, Mapping):
            self.wrong(place, say("must be an object in braces, with names and values"))
        for key in entry:
            near = process.extractOne(str(key), keys, scorer=fuzz.ratio, score_cutoff=_SLIP)
            if key not in keys and near is not None:
                self.wrong(place, say("“{key}” is not known; the nearest known one is “{near}”",
                                      key=one_line(key), near=near[0]))  # fmt: skip
        return entry

    def id_of(self, said: object, known: Iterable[str], kind: str, place: str) -> str:
        if not isinstance(said, str):
            self.wrong(place, say("must be an id, written as a text"))
        names = tuple(known)
        if said not in names:
            near = process.extractOne(said, names, scorer=fuzz.WRatio)
            self.wrong(
                place,
                say(
                    "there is no {kind} “{said}”; the nearest known one is “{near}”",
                    kind=_kind_text(kind),
                    said=one_line(said),
                    near=near[0] if near else names[0],
                ),
            )
        return said

    def wrong(self, place: str, what: str) -> NoReturn:
        of_case = say("case {n}", n=self.at) if self.at else ""
        _wrong(self.file, ", ".join(p for p in (of_case, place) if p), what)


def one_line(said: str, most: int = 60) -> str:
    """What somebody wrote, short and on one line, without what a terminal would obey."""
    return "".join(c if c.isprintable() else "�" for c in said[:most])


def _kind_text(kind: str) -> str:
    kinds = {
        "symptom": say("symptom"),
        "check": say("check"),
        "equipment": say("equipment flag"),
        "part": say("part kind or component"),
    }
    return kinds.get(kind, kind)


def _wrong(file: str, place: str, what: str) -> NoReturn:
    where = f"{file}, {place}" if place else file
    raise Trouble(say("{where}: {what}.", where=where, what=what))


def _refuse_format(values: Mapping[str, Any], file: str) -> None:
    said = values.get("format", FORMAT)
    if said != FORMAT or isinstance(said, bool):
        _wrong(file, "format", say("is {said}, and only format {known} can be read",
                                   said=repr(said)[:40], known=FORMAT))  # fmt: skip


def _refuse_twice(file: str, cases: tuple[FileCase, ...]) -> None:
    seen: dict[str, int] = {}
    for at, one in enumerate(cases, 1):
        if one.id in seen:
            _wrong(file, say("case {n}", n=at), say("has the id “{id}” of case {first}",
                                                    id=one.id, first=seen[one.id]))  # fmt: skip
        seen[one.id] = at


def _json(path: Path) -> Any:
    try:
        if path.stat().st_size > MOST_BYTES:
            _wrong(path.name, "", say("is too large: more than {n} MB", n=MOST_BYTES // 10**6))
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise Trouble(
            say(
                "{path} cannot be read: {why}.",
                path=path,
                why=error.strerror or type(error).__name__,
            )
        ) from error
    except UnicodeDecodeError as error:
        raise Trouble(
            say("{file} is not written in UTF-8, byte {n} on.", file=path.name, n=error.start + 1)
        ) from error
    if not text.strip():
        _wrong(path.name, "", say("is empty"))
    try:
        return json.loads(text, object_pairs_hook=_once_each)
    except json.JSONDecodeError as error:
        raise Trouble(
            say(
                "{file}, line {line}, column {column}: this is no JSON ({why}).",
                file=path.name,
                line=error.lineno,
                column=error.colno,
                why=error.msg,
            )
        ) from error
    except RecursionError as error:
        raise Trouble(say("{file} is nested too deeply to be read.", file=path.name)) from error
    except _Twice as error:
        _wrong(path.name, "", say("“{key}” stands twice in one object", key=one_line(str(error))))
    except ValueError:  # a whole number of more digits than the language turns into one
        _wrong(path.name, "", say("holds a number of too many digits"))


class _Twice(Exception):
    """A name that stands twice in one object: one of the two values would be lost."""


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise _Twice(key)
        found[key] = value
    return found
