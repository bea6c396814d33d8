"""Addresses as people type them, taken apart: number, street, town, crossing of two streets."""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

# Suffixes and directions as mail carriers shorten them (USPS Publication 28, appendix C1, from
# memory). The long form is compared: a slip in a long word still leaves most of it.
_LONG = {
    "rd": "road", "ave": "avenue", "av": "avenue", "ln": "lane", "dr": "drive", "hwy": "highway",
    "blvd": "boulevard", "ct": "court", "pl": "place", "trl": "trail", "tr": "trail",
    "cir": "circle", "pkwy": "parkway", "sq": "square", "ter": "terrace", "mt": "mount",
    "n": "north", "s": "south", "e": "east", "w": "west", "co": "county", "cr": "county road",
    "xing": "crossing", "crk": "creek", "rdg": "ridge", "holw": "hollow", "spg": "spring",
    "str": "strasse",
}  # fmt: skip
_NUMBER = re.compile(r"\d+\s?[a-z]?(?:\s?[-/]\s?\d+\s?[a-z]?)?", re.IGNORECASE)
_LEADING = re.compile(rf"^\s*({_NUMBER.pattern})(?=[\s,])", re.IGNORECASE)
_TRAILING = re.compile(rf"\s({_NUMBER.pattern})\s*$", re.IGNORECASE)
_CROSSING = re.compile(r"\s+(?:and|at|und|et|y)\s+|\s*[&+@]\s*|\s+/\s+|\s+x\s+", re.IGNORECASE)
_UNIT = re.compile(r"\s*(?:#|\b(?:apt|unit|lot|suite|ste)\b\.?)\s*\S+\s*$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Typed:
    """One way to read what was typed: folded street, number without spaces, folded town words."""

    street: str
    number: str = ""
    rest: str = ""


@lru_cache(maxsize=65_536)  # house numbers repeat their street's name
def folded(text: str) -> str:
    """Lower case without accents and marks, common words written out: what is compared."""
    plain = unicodedata.normalize("NFKD", text.casefold().replace("ß", "ss"))
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    plain = re.sub(r"['’`.]", "", plain)
    words = re.sub(r"[^0-9a-z\u0080-\uffff]+", " ", plain).split()
    return " ".join(_long(word, is_last=n == len(words) - 1) for n, word in enumerate(words))


def _long(word: str, *, is_last: bool) -> str:
    if word == "st":  # a street at the end, a saint before
        return "street" if is_last else "saint"
    if len(word) > 4 and word.endswith("str"):
        return f"{word}asse"
    return _LONG.get(word, word)


def number_key(text: str) -> str:
    """A house number as it is compared: "12 A" and "12a" are one."""
    return re.sub(r"\s+", "", text).casefold()


def readings_of(text: str) -> tuple[Typed, ...]:
    """The ways to understand an address, likeliest first; none for nothing.

    A number may stand before or after the street, or belong to its name (County Road 12).
    """
    head, _, rest = text.partition(",")
    head = _UNIT.sub("", head)
    found = []
    leading, trailing = _LEADING.match(head), _TRAILING.search(head)
    if leading:
        found.append(Typed(folded(head[leading.end() :]), number_key(leading[1]), folded(rest)))
    if trailing and not leading:
        found.append(Typed(folded(head[: trailing.start()]), number_key(trailing[1]), folded(rest)))
    if not leading:
        found.append(Typed(folded(head), "", folded(rest)))
    return tuple(one for one in found if one.street)


def crossing_of(text: str) -> tuple[str, str] | None:
    """The two folded streets of a crossing ("A and B", "A & B", "A / B"), or None."""
    parts = [folded(part) for part in _CROSSING.split(text.partition(",")[0])]
    return (parts[0], parts[1]) if len(parts) == 2 and all(parts) else None
