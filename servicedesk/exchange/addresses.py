"""Addresses compared: the same place written twice gives the same key."""

import re
import unicodedata
from functools import lru_cache

# Street words and their short forms; USPS Publication 28, appendix C, from memory
_SHORT = {
    "street": "st", "road": "rd", "lane": "ln", "drive": "dr", "avenue": "ave", "av": "ave",
    "court": "ct", "circle": "cir", "boulevard": "blvd", "highway": "hwy", "place": "pl",
    "trail": "trl", "parkway": "pkwy", "terrace": "ter", "point": "pt", "north": "n", "south": "s",
    "east": "e", "west": "w", "apartment": "apt", "number": "", "no": "", "county": "co",
    "crossing": "xing", "creek": "crk", "landing": "lndg", "square": "sq", "suite": "ste",
}  # fmt: skip


def folded_once(text: str) -> str:
    """Without capitals, accents, punctuation and doubled spaces."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(ch for ch in plain if not unicodedata.combining(ch))
    return " ".join(re.sub(r"[^\w]+", " ", plain).split())


@lru_cache(maxsize=50_000)
def folded_text(text: str) -> str:
    """As `folded_once`, kept: for texts that come again, such as addresses."""
    return folded_once(text)


@lru_cache(maxsize=50_000)
def address_key(address: str, locality: str = "") -> str:
    """A key equal for one place: "12 Mill Lane" in "Abbot Fen" and "12 MILL LN." there.

    Rural routes follow USPS Publication 28 sections 241 to 254 (RR 3 BOX 17). "" for no address.
    """
    text = folded_text(address)
    text = re.sub(r"\b(highway contract route|star route|highway contract|hc route)\b", "hc", text)
    text = re.sub(r"\b(rural route|rural rt|rfd|rd(?= \d+ (box|\d))|rural)\b", "rr", text)
    text = re.sub(r"\b(rr|hc) 0*(\d+) (?:box )?0*(\d+\w*)", r"\1 \2 box \3", text)
    words = [_SHORT.get(word, word) for word in text.split()]
    street = " ".join(word for word in words if word)
    return f"{street}|{folded_text(locality)}" if street else ""


def names_a_house(address: str) -> bool:
    """Does it point to one place: a house number, or a box on a route?"""
    text = folded_text(address)
    return bool(re.match(r"\d+\w?\b", text) or re.search(r"\bbox \d|\blot \d", text))


_STATE_ZIP = re.compile(r"^(.*?)[,\s]+([A-Za-z]{2})\.?[,\s]+(\d{5}(?:-\d{4})?)$")


def town_state_postcode(text: str) -> tuple[str, str, str]:
    """Town, state and postcode out of "Abbot Fen, TX 77650"; what is missing is ""."""
    text = " ".join(text.split()).strip(" ,")
    found = _STATE_ZIP.match(text)
    if found:
        return found.group(1).strip(" ,"), found.group(2).upper(), found.group(3)
    found = re.match(r"^(.*?)[,\s]+(\d{5}(?:-\d{4})?)$", text)
    if found:
        return found.group(1).strip(" ,"), "", found.group(2)
    found = re.match(r"^(.*?),\s*([A-Za-z]{2})\.?$", text)
    if found:
        return found.group(1).strip(), found.group(2).upper(), ""
    return text, "", ""


def split_address(text: str) -> tuple[str, str, str, str]:
    """Street, town, state, postcode out of one cell: "12 Mill Ln, Abbot Fen, TX 77650".

    Only where a comma or a line break separates the town; otherwise all of it is the street.
    """
    text = re.sub(r"\s*[\r\n]+\s*", ", ", text.strip())
    street, comma, rest = text.partition(",")
    if (
        not comma
        or not rest.strip()
        or re.match(r"\s*(apt|unit|lot|ste|suite|#|box)\b", rest, re.IGNORECASE)
    ):
        return text, "", "", ""
    town, state, postcode = town_state_postcode(rest)
    return street.strip(), town, state, postcode
