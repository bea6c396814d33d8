"""Finds a person's name, number or address in texts, and takes it out."""

import re
from collections.abc import Iterable
from typing import Any

ERASED = "(erased)"
_WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")
_NUMBER = re.compile(r"\+?\(?\d[\d\s().\-/]{5,}\d")
_DIGITS = re.compile(r"\D+")
_LONGEST_NAME = 5  # words; a longer text is no name


class Scrub:
    """Takes what was `said` of one person (names, numbers, addresses of mail) out of any text.

    A name of several words goes in any case and with its words in both orders ("Ruth Quillan",
    "Quillan, Ruth"); a number goes however it is written. A lone first or last name stays: it
    may be another person's, or a road's.
    """

    def __init__(self, said: Iterable[str]) -> None:
        texts = {text.strip() for text in said} - {ERASED, ""}
        self._numbers = {_digits(t) for t in texts if len(_digits(t)) >= 7}
        self._mails = {t for t in texts if "@" in t}
        named = {t: tuple(_WORD.findall(t)) for t in texts if t not in self._mails}
        self._names = {words for words in named.values() if 1 < len(words) <= _LONGEST_NAME}
        self._lone = {words[0] for words in named.values() if len(words) == 1}
        either = [re.escape(mail) for mail in self._mails]
        either += [_in_order(words) for words in self._names]
        either += [_in_order(words[::-1]) for words in self._names]
        either += [_in_order((words[-1], *words[:-1])) for words in self._names]
        self._pattern = _any_of(either)
        self._lone_pattern = _any_of([_in_order((word,)) for word in self._lone])

    @property
    def pieces(self) -> set[str]:
        """Short texts of which every mention holds at least one: to look for in the log."""
        words = {max(words, key=_searchable) for words in self._names}
        return self._mails | words | {number[-4:] for number in self._numbers}

    def text(self, text: str) -> str:
        """`text` without the person."""
        return _NUMBER.sub(self._number, self._pattern.sub(ERASED, text))

    def lone_name(self, text: str) -> str:
        """`text`, known to tell of the person, also without a name of one word."""
        return self._lone_pattern.sub(ERASED, self.text(text))

    def _number(self, found: re.Match[str]) -> str:
        digits = _digits(found.group())
        long_enough = len(digits) >= 7
        same = any(digits.endswith(n) or n.endswith(digits) for n in self._numbers)
        return ERASED if long_enough and same else found.group()

    def value(self, value: Any) -> Any:
        """Text, or lists and dicts of texts at any depth, without the person."""
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, list):
            return [self.value(v) for v in value]
        if isinstance(value, dict):
            return {name: self.value(v) for name, v in value.items()}
        return value


def _any_of(patterns: list[str]) -> re.Pattern[str]:
    return re.compile("|".join(sorted(patterns, key=len, reverse=True)) or r"(?!)", re.IGNORECASE)


def _in_order(words: tuple[str, ...]) -> str:
    return r"\b" + r"[\s,.&;]+".join(map(re.escape, words)) + r"\b"


def _searchable(word: str) -> tuple[bool, int]:
    """Databases fold the case of plain letters only."""
    return (word.isascii(), len(word))


def _digits(text: str) -> str:
    return _DIGITS.sub("", text)
