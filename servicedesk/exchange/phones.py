"""Telephone numbers in a cell: one or several, with words between them.

A number is kept as typed; beside it stands its E.164 form where there is one. A number that no
telephone can have is marked and kept: it is often one wrong digit away from the right one, and
never a reason to leave a site out. Numbers of the kind 555-0142 that stories use pass: they are
possible, though no exchange has given them out.
"""

import re
from dataclasses import dataclass
from itertools import pairwise

import phonenumbers
from phonenumbers import NumberParseException, PhoneNumberFormat, ValidationResult

NO_AREA_CODE = "no area code"
TOO_SHORT = "too short"
TOO_LONG = "too long"
NOT_A_NUMBER = "not a number"
NOT_POSSIBLE = "not possible"

LABELS = {
    "home": ("h", "home", "hm", "house", "res", "casa"),
    "mobile": ("c", "m", "cell", "mobile", "mob", "cel", "cellular"),
    "work": ("w", "wk", "work", "o", "ofc", "off", "office", "bus", "business"),
    "fax": ("f", "fx", "fax"),
}
_SEPARATORS = re.compile(r"\s*(?:[;|\n\r]|/|,|\bor\b|\band\b|&|\+(?=\s))\s*", re.IGNORECASE)
_EXTENSION = re.compile(r"(?:ext\.?|extension|x|#)\s*(\d{1,6})\s*$", re.IGNORECASE)
_TEN = re.compile(r"(?<!\d)\(?\d{3}\)?[ .\-]?\d{3}[ .\-]?\d{4}(?!\d)")
_DIGITS = re.compile(r"\+?\(?\d[\d\s().\-–‐‑/]*\d|\d")


@dataclass(frozen=True, slots=True)
class Phone:
    """One number. `e164` is None where `problem` says why it cannot be made.

    `label` is "home", "mobile", "work", "fax" or ""; `note` is what else was written beside it
    (a name, "after 5").
    """

    typed: str
    e164: str | None
    extension: str = ""
    label: str = ""
    note: str = ""
    problem: str = ""


def phones_in(text: str, country: str, *, area_code: str = "") -> tuple[Phone, ...]:
    """The numbers in a cell, in the order written.

    `country` is the ISO 3166 code of the company ("US"): numbers without a country code belong to
    it. `area_code` is put before numbers that lack one; without it they get `NO_AREA_CODE`.
    A cell without any digit gives nothing.
    """
    text = re.sub(r"^(\d{7,})\.0$", r"\1", text)  # a number kept as a decimal one
    return tuple(
        _phone(piece, country.upper(), area_code) for piece in _pieces(text) if _n_digits(piece) > 0
    )


def _n_digits(text: str) -> int:
    return sum(ch.isdigit() for ch in text)


def _pieces(text: str) -> list[str]:
    """The cell cut into numbers. Too short pieces belong to their neighbor: "409/555-0142"."""
    pieces: list[str] = []
    pending = ""
    for piece in _SEPARATORS.split(text):
        joined = f"{pending} {piece}".strip()
        digits = _n_digits(joined)
        if digits == 0:
            if pieces and piece.strip():
                pieces[-1] += " " + piece.strip()
            continue
        if digits < 7 and not _EXTENSION.fullmatch(joined):
            pending = joined
            continue
        if _EXTENSION.fullmatch(joined) and pieces:
            pieces[-1] += " " + joined
        else:
            pieces += _side_by_side(joined)
        pending = ""
    if pending:
        pieces.append(pending)
    return pieces


def _side_by_side(piece: str) -> list[str]:
    """Two numbers with only a space or a label between them: "555-0142 (h) 555-0177 (c)"."""
    ten = list(_TEN.finditer(piece))
    if len(ten) > 1:
        return _cut(piece, [found.start() for found in ten])
    without_extension = _EXTENSION.sub("", piece)
    runs = [
        found
        for found in re.finditer(r"\+?\(?\d[\d().\-–‐‑ ]{5,}\d", without_extension)
        if _n_digits(found.group()) >= 7
    ]
    if len(runs) < 2:
        whole = re.findall(r"(?:\(?\d{3}\)?[ .\-]?)?\d{3}[ .\-]\d{4}", piece)
        two_local = len(whole) == 2 and _n_digits(piece) in (14, 17, 20)
        return whole if two_local and not piece.strip().startswith("+") else [piece]
    return _cut(piece, [run.start() for run in runs])


def _cut(piece: str, starts: list[int]) -> list[str]:
    """The text cut before every number but the first."""
    bounds = [0, *starts[1:], len(piece)]
    return [piece[a:b].strip() for a, b in pairwise(bounds)]


def _label_and_note(text: str) -> tuple[str, str]:
    """The kind of telephone and the other words around a number."""
    label = ""
    others = []
    for word in re.split(r"[\s()\[\]:,.\-–]+", text):
        kind = next((k for k, words in LABELS.items() if word.casefold() in words), "")
        if kind and not label:
            label = kind
        elif word and word.casefold() not in ("phone", "ph", "tel", "no", "#", "t"):
            others.append(word)
    return label, " ".join(others)


def _phone(piece: str, country: str, area_code: str) -> Phone:
    typed = piece.strip(" ,;")
    extension = ""
    body = typed
    found = _EXTENSION.search(body)
    if found and _n_digits(body[: found.start()]) >= 7:
        extension = found.group(1)
        body = body[: found.start()]
    number = max(_DIGITS.findall(body), key=_n_digits, default="")
    label, note = _label_and_note(body.replace(number, " ") if number else body)
    if not number:
        return Phone(typed, None, extension, label, note, NOT_A_NUMBER)
    e164, problem = _e164(number, country, area_code)
    return Phone(typed, e164, extension, label, note, problem)


def _e164(number: str, country: str, area_code: str) -> tuple[str | None, str]:
    try:
        parsed = phonenumbers.parse(number, country)
    except NumberParseException as error:
        too_long = error.error_type == NumberParseException.TOO_LONG or _n_digits(number) > 15
        return None, TOO_LONG if too_long else NOT_A_NUMBER
    result = phonenumbers.is_possible_number_with_reason(parsed)
    if result == ValidationResult.IS_POSSIBLE_LOCAL_ONLY:
        if not area_code:
            return None, NO_AREA_CODE
        return _e164(area_code + re.sub(r"\D", "", number), country, "")
    if result == ValidationResult.TOO_LONG:
        return None, TOO_LONG
    if result == ValidationResult.TOO_SHORT:
        return None, TOO_SHORT
    if result != ValidationResult.IS_POSSIBLE:
        return None, NOT_POSSIBLE
    if parsed.country_code == 1 and not _follows_nanp(str(parsed.national_number)):
        return None, NOT_POSSIBLE
    return phonenumbers.format_number(parsed, PhoneNumberFormat.E164), ""


def _follows_nanp(national: str) -> bool:
    """Area code and exchange begin with 2 to 9 (North American Numbering Plan; from memory)."""
    return re.fullmatch(r"[2-9]\d{2}[2-9]\d{6}", national) is not None
