"""What each column means: proposed from its heading and its cells, corrected by a person.

The headings known to us stand in ``resources/trade/columns.yaml``. A mapping that a person has
approved is remembered under the `signature` of the headings and handed in again.
"""

import hashlib
import re
import unicodedata
from collections.abc import Callable
from collections.abc import Mapping as MappingOf
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, lru_cache

import yaml
from rapidfuzz import fuzz, process

from servicedesk.exchange.dates import read_day
from servicedesk.exchange.headers import Heading, Layout
from servicedesk.exchange.intervals import how_often
from servicedesk.exchange.phones import NO_AREA_CODE, phones_in
from servicedesk.exchange.positions import read_angle, read_pair
from servicedesk.values.resources import resource
from servicedesk.words import say

EXTRA = "extra"
"""The field of a column that nobody knows: its cells are kept as notes."""
IGNORE = "ignore"
"""The field of a column that a person wants left out."""

_NOTHING = re.compile(r"^(n/?a|none|no|-+|–|—|\?+|unknown|tbd|nil|null)$", re.IGNORECASE)
_SMALL_WORDS = frozenset({"of", "the", "to", "a", "in", "on", "for", "at", "s"})
LIKELY = 0.62
ALIKE = 80  # below, two headings only share letters: "contract freq" and "contact"
# How the cells of a column look whose heading says nothing: "Quillan, Ruth"; "12 Mill Lane"
_BY_CELLS = (
    ("owner_name", re.compile(r"^[^\W\d_][^\d,@]*, [^\d,@]+$")),
    ("address", re.compile(r"^\d+\w?\s+[^\W\d_]{2,}.*[^\W\d_]{2,}")),
)
_VISIT_WORDS = re.compile(
    r"\b(insp|inspection|alarm|call|callback|service|repair|maint|maintenance|pump|routine|emergency|"
    r"visit|start[ -]?up|install)\b",
    re.IGNORECASE,
)
_ANY_DAY = date(2026, 1, 1)  # only to see whether a text is a date at all


@dataclass(frozen=True, slots=True)
class Field:
    """A field with the headings it goes by; `shape` is what its cells look like."""

    name: str
    shape: str
    many: bool
    headings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """What one column is taken for. `confidence` 0..1; 1 where a person said so."""

    col: int
    heading: str
    field: str
    confidence: float
    remembered: bool = False


@dataclass(frozen=True, slots=True)
class Mapping:
    """The meaning of all columns of a sheet, in their order."""

    choices: tuple[Choice, ...]

    def columns(self, field: str) -> tuple[Choice, ...]:
        """The columns taken for `field`, from left to right."""
        return tuple(choice for choice in self.choices if choice.field == field)

    def with_choice(self, col: int, field: str) -> "Mapping":
        """The same with one column corrected. A field that stands for one column moves there.

        Raises ValueError for a field or column that does not exist.
        """
        if field not in known_fields() and field not in (EXTRA, IGNORE):
            raise ValueError(f"there is no field {field!r}")
        if col not in {choice.col for choice in self.choices}:
            raise ValueError(f"there is no column {col}")
        single = field in known_fields() and not known_fields()[field].many
        choices = []
        for choice in self.choices:
            if choice.col == col:
                choices.append(replace(choice, field=field, confidence=1.0))
            elif single and choice.field == field:
                choices.append(replace(choice, field=EXTRA, confidence=1.0))
            else:
                choices.append(choice)
        return Mapping(tuple(choices))

    @property
    def signature(self) -> str:
        """The key to remember it by: equal for equal headings in equal order."""
        return signature_of([choice.heading for choice in self.choices])

    def to_plain(self) -> list[list[str]]:
        """Heading and field of each column, for keeping as JSON."""
        return [[choice.heading, choice.field] for choice in self.choices]

    @classmethod
    def from_plain(cls, plain: list[list[str]]) -> "Mapping":
        """The inverse of `to_plain`; fields that no longer exist become notes."""
        known = {*known_fields(), EXTRA, IGNORE}
        return cls(
            tuple(
                Choice(col, heading, field if field in known else EXTRA, 1.0, remembered=True)
                for col, (heading, field) in enumerate(plain, 1)
            )
        )


@cache
def known_fields() -> dict[str, Field]:
    """Every field by name, in the order of the file."""
    text = resource("trade", "columns.yaml").read_text(encoding="utf-8")
    fields = yaml.safe_load(text)["fields"]
    return {
        name: Field(
            name,
            entry["shape"],
            bool(entry.get("many", False)),
            tuple(folded(str(heading)) for heading in entry["headings"]),
        )
        for name, entry in fields.items()
    }


def folded(heading: str) -> str:
    """A heading without capitals, accents and punctuation; "#" reads "number", "$" "price"."""
    text = unicodedata.normalize("NFKD", heading.casefold())
    text = "".join(ch for ch in text if not unicodedata.combining(ch))
    text = re.sub(r"#|\bno\.|\bnr\.?\b|\bno\b$|\bnum\b\.?|№", " number ", text)
    text = re.sub(r"[$€£]", " price ", text)
    text = re.sub(r"[^a-z0-9]+", " ", text)
    return " ".join(text.split())


def signature_of(headings: list[str]) -> str:
    """A short key of the headings of a sheet, blind to capitals and punctuation."""
    while headings and not headings[-1]:
        headings = headings[:-1]
    joined = "\n".join(folded(heading) for heading in headings)
    return hashlib.sha256(joined.encode()).hexdigest()[:16]


@lru_cache(maxsize=20_000)
def _scores(heading: str) -> tuple[tuple[str, float], ...]:
    """How well a heading fits each field, 0..1, best first; fields below 0.5 are left out."""
    text = folded(heading)
    if not text:
        return ()
    scores: dict[str, float] = {}
    for field in known_fields().values():
        score = _likeness(text, field)
        words = set(text.split()) - _SMALL_WORDS
        for known in field.headings:
            # "owner name (last, first)" holds "owner name" and something more
            its = set(known.split())
            if its <= words:
                share = len(its) / len(words)
                score = max(score, 0.68 + 0.3 * share if len(its) > 1 else 0.5 + 0.35 * share)
        if score >= 0.5:
            scores[field.name] = score
    visit = _visit_heading(text, heading)
    if visit:
        scores["visit_date"] = max(scores.get("visit_date", 0.0), visit)
    return tuple(sorted(scores.items(), key=lambda item: -item[1]))


@cache
def _vocabulary() -> frozenset[str]:
    """Every word of every known heading."""
    return frozenset(
        word
        for field in known_fields().values()
        for text in field.headings
        for word in text.split()
    )


def _likeness(text: str, field: Field) -> float:
    """How alike a heading and the nearest known one are, 0..1, typing mistakes forgiven.

    A word that other headings have is no typing mistake: "contract" is not a wrong "contact".
    """
    for known, score, _index in process.extract(
        text, field.headings, scorer=fuzz.token_sort_ratio, score_cutoff=ALIKE, limit=4
    ):
        if not (set(text.split()) - set(known.split())) & _vocabulary():
            return score / 100
    return 0.0


def _visit_heading(text: str, heading: str) -> float:
    """A column per inspection: "Insp 1", "2nd visit", "Jan-25", "2025 Q3"."""
    words = re.search(r"\b(insp\w*|visit\w*|service\w*|svc|maint\w*|call)\b", text)
    ordinal = re.search(r"\b(\d|1st|2nd|3rd|4th|first|second|third|fourth|q[1-4]|20\d\d)\b", text)
    if words and ordinal and not re.search(r"per|result|note|tech|by|year|yr|type", text):
        return 0.95
    if re.fullmatch(r"(20\d\d )?(q[1-4]|[1-4](st|nd|rd|th)?( quarter| qtr)?)( 20\d\d)?", text) and (
        "20" in text or "q" in text
    ):
        return 0.9
    read = read_day(heading, day_first=True, today=_ANY_DAY)
    return 0.9 if read.on and len(read.rest) < 14 else 0.0


def known_heading(text: str) -> float:
    """How surely a text is a heading, 0..1 (for `headers.layout_of`).

    A date alone does not count: the cells of a list are dates too.
    """
    scores = _scores(text)
    if not scores or re.fullmatch(r"[\d\s/.\-:]+", text):
        return 0.0
    return scores[0][1]


def propose(layout: Layout, remembered: MappingOf[str, list[list[str]]] | None = None) -> Mapping:
    """What each column probably is.

    `remembered`: approved mappings (`Mapping.to_plain`) by signature; one that fits is taken as
    it is. Otherwise fields are given out by confidence, a field that stands for one column only
    once. Columns that fit nothing become notes (`EXTRA`); columns without heading and content are
    left out.
    """
    signature = signature_of([heading.text for heading in layout.headings])
    if remembered and signature in remembered:
        kept = Mapping.from_plain(remembered[signature]).choices
        fields = {choice.col: choice.field for choice in kept}
        return Mapping(
            tuple(
                Choice(h.col, h.text, fields.get(h.col, EXTRA), 1.0, remembered=True)
                for h in layout.headings
            )
        )
    offers: list[tuple[float, int, str]] = []
    for heading in layout.headings:
        offers += [(score, heading.col, field) for field, score in _fits(layout, heading)]
    offers.sort(key=lambda offer: (-offer[0], offer[1]))
    given: dict[int, tuple[str, float]] = {}
    taken: set[str] = set()
    for score, col, field in offers:
        if score < LIKELY or col in given or field in taken:
            continue
        given[col] = (field, round(score, 2))
        if not known_fields()[field].many:
            taken.add(field)
    choices = tuple(_choice(layout, heading, given) for heading in layout.headings)
    return _with_notes_of_visits(layout, Mapping(choices))


def _with_notes_of_visits(layout: Layout, mapping: Mapping) -> Mapping:
    """In a list with a line per visit the notes are about the visit, unless it has both."""
    dates, notes = mapping.columns("visit_date"), mapping.columns("notes")
    names = mapping.columns("own_number") or mapping.columns("owner_name")
    if len(dates) != 1 or not notes or not names or mapping.columns("visit_outcome"):
        return mapping
    texts = [data.row.text(names[0].col) for data in layout.rows]
    lines = [text for text in texts if text]
    if len(set(lines)) > 0.8 * len(texts):
        return mapping
    moved = replace(notes[0], field="visit_outcome", confidence=0.65)
    return Mapping(tuple(moved if choice is notes[0] else choice for choice in mapping.choices))


def _choice(layout: Layout, heading: Heading, given: dict[int, tuple[str, float]]) -> Choice:
    if heading.col in given:
        field, confidence = given[heading.col]
        confidence = min(confidence, 1.0)
        return Choice(heading.col, heading.text, field, confidence)
    empty = not layout.texts(heading.col, 1)
    return Choice(heading.col, heading.text, IGNORE if empty else EXTRA, 0.0)


def _fits(layout: Layout, heading: Heading) -> list[tuple[str, float]]:
    """Fields for one column with the score of heading and cells together."""
    texts = [text for text in layout.texts(heading.col, 60) if not _NOTHING.match(text)]
    fits = []
    scores = dict(_scores(heading.text))
    for name, score in _scores(heading.own):
        scores[name] = max(scores.get(name, 0.0), score)
    for name, score in scores.items():
        share = _share(known_fields()[name].shape, texts, heading.text)
        fits.append((name, score if share is None else score * (0.55 + 0.45 * share)))
    if texts and re.search(r"type|kind|reason|what|job", heading.text, re.IGNORECASE):
        share = sum(bool(_VISIT_WORDS.search(text)) for text in texts) / len(texts)
        if share >= 0.6:
            fits.append(("visit_kind", 1.0 + share / 10))  # surer than "type" of anything else
    if all(score < LIKELY for _name, score in fits):
        for name in ("phone", "email", "position"):
            shape = known_fields()[name].shape
            # no heading speaks for it: the numbers must be such as a telephone can have
            shape = "possible phone" if shape == "phone" else shape
            share = _share(shape, texts, heading.text) or 0.0
            if share >= 0.8:
                fits.append((name, 0.65 * share + 0.05))
        for name, look in _BY_CELLS:
            if texts and sum(bool(look.match(text)) for text in texts) >= 0.7 * len(texts):
                fits.append((name, LIKELY + 0.01))
    return fits


def _share(shape: str, texts: list[str], heading: str) -> float | None:
    """The share of cells that look as the field wants; None where any text will do."""
    if not texts or shape == "text":
        return None
    looks: dict[str, Callable[[str], bool]] = {
        "name": lambda t: any(ch.isalpha() for ch in t) and not _is_date(t, ""),
        "phone": lambda t: _is_phone(t) or (_n_digits(t) >= 7 and not _is_date(t, "")),
        "possible phone": lambda t: _is_phone(t) and not _is_date(t, ""),
        "email": lambda t: bool(re.search(r"[^@\s]+@[^@\s]+\.\w+", t)),
        "number": lambda t: bool(re.search(r"\d", t)) and len(t) < 14,
        "angle": lambda t: read_angle(t) is not None,
        "position": lambda t: read_pair(t) is not None,
        "often": lambda t: _is_often(t, heading),
        "money": lambda t: bool(re.search(r"\d", t)) and len(t) < 24,
        "postcode": lambda t: bool(re.search(r"\d", t)) and len(t) < 12,
        "date": lambda t: _is_date(t, heading),
    }
    look = looks[shape]
    return sum(look(text) for text in texts) / len(texts)


def _is_phone(text: str) -> bool:
    return any(phone.problem in ("", NO_AREA_CODE) for phone in phones_in(text, "US"))


def _n_digits(text: str) -> int:
    return sum(ch.isdigit() for ch in text)


def _is_often(text: str, heading: str) -> bool:
    often = how_often(text, heading=heading)
    return often.per_year is not None or often.every_months is not None or often.none_due


def _is_date(text: str, heading: str) -> bool:
    read = read_day(text, day_first=None, today=_ANY_DAY, year=_ANY_DAY.year)
    if read.on is not None or read.either or read.impossible or re.fullmatch(r"(19|20)\d\d", text):
        return True
    # under a heading that is itself a date, a cross, initials or a word say that someone was there
    return read_day(heading, day_first=True, today=_ANY_DAY).on is not None and len(text) < 80


def field_title(field: str) -> str:
    """The name of a field for people."""
    return {
        "own_number": say("Our number"),
        "owner_name": say("Owner"),
        "owner_family": say("Family name"),
        "owner_given": say("Given name"),
        "organization": say("Organization"),
        "second_contact": say("Second contact"),
        "phone": say("Phone"),
        "email": say("E-mail"),
        "address": say("Address"),
        "address_2": say("Address, second line"),
        "billing_address": say("Mailing address"),
        "locality": say("Town"),
        "region": say("State"),
        "postcode": say("Postcode"),
        "citystatezip": say("Town, state and postcode"),
        "latitude": say("Latitude"),
        "longitude": say("Longitude"),
        "position": say("Position"),
        "permit": say("Permit"),
        "authority": say("Authority"),
        "system_kind": say("System"),
        "treatment": say("Treatment"),
        "dispersal": say("Dispersal"),
        "bedrooms": say("Bedrooms"),
        "gallons_day": say("Gallons per day"),
        "start_up": say("Start-up"),
        "contract_from": say("Contract from"),
        "contract_until": say("Contract until"),
        "visits_year": say("Visits a year"),
        "price": say("Price"),
        "visit_date": say("Past visit"),
        "visit_kind": say("Kind of visit"),
        "visit_outcome": say("Outcome of the visit"),
        "visit_technician": say("Technician"),
        "next_due": say("Next due"),
        "gate": say("Gate code"),
        "key": say("Key"),
        "dog": say("Dog"),
        "access": say("Access"),
        "notes": say("Notes"),
        EXTRA: say("Kept as a note"),
        IGNORE: say("Left out"),
    }[field]
