"""How often: "3x/yr", "every 4 mo", "quarterly", "3"."""

import re
from dataclasses import dataclass
from fractions import Fraction

_NUMBERS = {
    "one": 1,
    "once": 1,
    "two": 2,
    "twice": 2,
    "three": 3,
    "thrice": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "twelve": 12,
}
_PER_YEAR_WORDS = (
    (r"semi[\s\-]*annual(ly)?|semi[\s\-]*yearly|half[\s\-]*yearly|six[\s\-]*monthly", 2),
    (r"tri[\s\-]*annual(ly)?", 3),
    (r"quarterly|qtrly|quarter", 4),
    (r"bi[\s\-]*annual(ly)?", 2),
    (r"biennial(ly)?", Fraction(1, 2)),
    (r"triennial(ly)?", Fraction(1, 3)),
    (r"bi[\s\-]*monthly", 6),
    (r"semi[\s\-]*monthly", 24),
    (r"monthly", 12),
    (r"bi[\s\-]*weekly|fortnightly", 26),
    (r"weekly", 52),
    (r"annual(ly)?|yearly|per annum", 1),
)
# Words that people use for two different things
_DOUBTFUL = re.compile(r"\b(bi[\s\-]*(annual|monthly|weekly)|tri[\s\-]*annual)", re.IGNORECASE)
_EVERY = re.compile(
    r"\b(?:every|ea(?:ch)?\.?|q)\s*(other|\d+(?:\.\d+)?)?\s*[\-\s]*(day|wk|week|mo|mon|month|mth|m|yr|year|y|w|d)",
    re.IGNORECASE,
)
_INTERVAL = re.compile(r"^(\d+(?:\.\d+)?)\s*[\-\s]*(wk|week|mo|month|mth)s?\b", re.IGNORECASE)
_TIMES = re.compile(
    r"(\d+)\s*(?:x|times?|visits?|insp\w*|\*|×)?\s*(?:/|per|a|an|each|every|in|x)?\s*"
    r"(?:calendar\s*)?(yr|year|annum|annual(?:ly)?|yearly|y|mo|month|qtr|quarter)\b",
    re.IGNORECASE,
)
_PLAIN = re.compile(r"(\d+(?:\.\d+)?)\s*(?:x|times?|visits?|insp\w*|×)?\.?", re.IGNORECASE)
_NONE = re.compile(r"\b(none|as needed|on call|call only|n/?a|upon request)\b|^0$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class HowOften:
    """Visits a year. `per_year` is None where nothing could be read; `none_due` where none is owed.

    `every_months` is given where an interval was written ("every 4 mo" is not the same promise as
    three a year). `doubtful`: the word is used for two things, such as biannual. `uneven`: the
    interval does not divide the year, `per_year` is the whole number below.
    """

    typed: str
    per_year: int | None = None
    every_months: int | None = None
    none_due: bool = False
    doubtful: bool = False
    uneven: bool = False


def how_often(text: str, *, heading: str = "") -> HowOften:
    """Visits a year in a cell. `heading` tells what a bare number counts.

    "4" means four a year, but every 4 months under "Interval (months)". A number above 52 and
    anything unknown gives `per_year` None.
    """
    typed = " ".join(text.split())
    if _NONE.search(typed):
        return HowOften(typed, none_due=True)
    body = typed
    for word, number in _NUMBERS.items():
        body = re.sub(rf"\b{word}\b", str(number), body, flags=re.IGNORECASE)
    plain = _PLAIN.fullmatch(body)
    if (
        plain
        and re.search(r"interval|every|months|\bmos?\b|\bmths?\b|between", heading, re.IGNORECASE)
        and "x" not in body
    ):
        return _every(typed, Fraction(plain.group(1)), "month")
    found = _EVERY.search(body)
    if found:
        n = found.group(1) or "1"
        return _every(typed, Fraction(2 if n.lower() == "other" else n), found.group(2))
    for pattern, per_year in _PER_YEAR_WORDS:
        if re.search(rf"\b(?:{pattern})\b", body, re.IGNORECASE) and not re.search(r"\d", body):
            return _yearly(typed, Fraction(per_year), doubtful=bool(_DOUBTFUL.search(body)))
    found = _INTERVAL.search(body)
    if found:
        return _every(typed, Fraction(found.group(1)), found.group(2))
    found = _TIMES.search(body)
    if found:
        unit = found.group(2).lower()
        factor = 12 if unit.startswith("mo") else 4 if unit.startswith("q") else 1
        return _yearly(typed, Fraction(int(found.group(1)) * factor))
    if plain:
        return _yearly(typed, Fraction(plain.group(1)))
    return HowOften(typed)


def _yearly(typed: str, per_year: Fraction, *, doubtful: bool = False) -> HowOften:
    if not 0 < per_year <= 52:
        return HowOften(typed, none_due=per_year == 0)
    if per_year < 1:
        months = 12 / per_year
        return HowOften(typed, None, int(months), doubtful=doubtful, uneven=True)
    whole = int(per_year)
    return HowOften(typed, whole, doubtful=doubtful, uneven=whole != per_year)


def _every(typed: str, n: Fraction, unit: str) -> HowOften:
    if n <= 0:
        return HowOften(typed)
    start = unit.lower()[:1]
    if start == "m":
        months = int(n) if n.denominator == 1 else None
        per_year = Fraction(12) / n
    else:
        months = int(n * 12) if start == "y" and (n * 12).denominator == 1 else None
        per_year = {"y": Fraction(1), "w": Fraction(52), "d": Fraction(365)}[start] / n
    read = _yearly(typed, per_year)
    return HowOften(typed, read.per_year, months, uneven=read.uneven)
