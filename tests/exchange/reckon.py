"""Reckons the formulas of a workbook anew, as far as ours go; branches not taken stay unreckoned.

Knows + - * / comparisons, ranges, IF AND OR MAX MIN SUM COUNT ROUND ROUNDDOWN of the OpenFormula
standard (OASIS OpenDocument 1.2 part 2): ROUND takes a half away from zero, an empty cell is zero
in a sum and equals "".
"""

import math
import re
from functools import cached_property

TOKEN = re.compile(
    r"""\s*(?:(?P<number>\d+\.?\d*(?:[eE][+-]?\d+)?)|(?P<text>"[^"]*")|(?P<name>[A-Z]+)(?=\()"""
    r"""|(?P<ref>(?:'[^']+'!)?\$?[A-Z]+\$?\d+(?::\$?[A-Z]+\$?\d+)?)|(?P<op><>|<=|>=|[-+*/(),<>=]))"""
)


class Reckoner:
    """The values of a workbook's cells."""

    def __init__(self, book):
        self.book, self.known = book, {}

    def value(self, sheet, cell):
        key = (sheet, cell.replace("$", ""))
        if key not in self.known:
            raw = self.book[sheet][key[1]]
            formula = raw.data_type == "f"
            self.known[key] = _Formula(self, sheet, raw.value[1:]).result if formula else raw.value
        return self.known[key]

    def cells(self, sheet, ref):
        first, last = ref.replace("$", "").split(":")
        rows = self.book[sheet][first:last]
        return [self.value(sheet, cell.coordinate) for row in rows for cell in row]


class _Formula:
    def __init__(self, reckoner, sheet, text):
        self.reckoner, self.sheet = reckoner, sheet
        self.tokens, at = [], 0
        while at < len(text):
            found = TOKEN.match(text, at)
            assert found, f"what is {text[at:]!r}?"
            self.tokens.append((found.lastgroup, found.group(found.lastgroup)))
            at = found.end()
        self.at = 0

    @cached_property
    def result(self):
        value = self.comparison()()
        assert self.at == len(self.tokens)
        return value

    def peek(self):
        return self.tokens[self.at][1] if self.at < len(self.tokens) else None

    def take(self, wanted=None):
        kind, text = self.tokens[self.at]
        assert wanted in (None, text)
        self.at += 1
        return kind, text

    def comparison(self):
        left = self.sum()
        if self.peek() in ("=", "<>", "<", ">", "<=", ">="):
            op = self.take()[1]
            right = self.sum()
            return lambda: _compare(op, left(), right())
        return left

    def chain(self, part, ops):
        left = part()
        while self.peek() in ops:
            op, before, right = self.take()[1], left, part()
            left = lambda op=op, a=before, b=right: ops[op](_number(a()), _number(b()))  # noqa: E731
        return left

    def sum(self):
        return self.chain(self.product, {"+": lambda a, b: a + b, "-": lambda a, b: a - b})

    def product(self):
        return self.chain(self.atom, {"*": lambda a, b: a * b, "/": lambda a, b: a / b})

    def atom(self):
        kind, text = self.take()
        if text == "-":
            inner = self.atom()
            return lambda: -_number(inner())
        if text == "(":
            inner = self.comparison()
            self.take(")")
            return inner
        if kind == "number":
            return lambda: float(text)
        if kind == "text":
            return lambda: text[1:-1]
        if kind == "ref":
            return self.reference(text)
        assert kind == "name", text
        return self.call(text)

    def reference(self, text):
        sheet, _, ref = text.rpartition("!")
        sheet = sheet.strip("'") or self.sheet
        if ":" in ref:
            return lambda: self.reckoner.cells(sheet, ref)
        return lambda: self.reckoner.value(sheet, ref)

    def call(self, name):
        self.take("(")
        given = [self.comparison()]
        while self.peek() == ",":
            self.take(",")
            given.append(self.comparison())
        self.take(")")
        return lambda: FUNCTIONS[name](*given)


def _number(value):
    if value is None:
        return 0.0
    assert not isinstance(value, str), f"{value!r} is no number"
    return float(value)


def _compare(op, a, b):
    if "" in (a, b) or isinstance(a, str) or isinstance(b, str):
        same = (a if a is not None else "") == (b if b is not None else "")
        assert op in ("=", "<>")
        return same if op == "=" else not same
    a, b = _number(a), _number(b)
    return {"=": a == b, "<>": a != b, "<": a < b, ">": a > b, "<=": a <= b, ">=": a >= b}[op]


def _round(value, digits):
    factor = 10 ** int(_number(digits()))
    number = _number(value())
    return math.copysign(math.floor(abs(number) * factor + 0.5) / factor, number)


def _round_down(value, digits):
    factor = 10 ** int(_number(digits()))
    number = _number(value())
    return math.copysign(math.floor(abs(number) * factor) / factor, number)


def _known(value):
    return [v for v in value() if isinstance(v, int | float)]


FUNCTIONS = {
    "IF": lambda test, yes, no: yes() if test() else no(),
    "AND": lambda *tests: all(t() for t in tests),
    "OR": lambda *tests: any(t() for t in tests),
    "MAX": lambda *some: max(_number(s()) for s in some),
    "MIN": lambda *some: min(_number(s()) for s in some),
    "SUM": lambda value: sum(_known(value)),
    "COUNT": lambda value: len(_known(value)),
    "ROUND": _round,
    "ROUNDDOWN": _round_down,
}
