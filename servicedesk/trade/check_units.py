"""Which unit a check looks at, and what is read where a check is a measure."""

from collections.abc import Mapping
from functools import cache

from servicedesk.trade.checks import checks, known
from servicedesk.trade.components import components
from servicedesk.trade.knowledge import Entry, entries_of, shipped_yaml
from servicedesk.trade.reading_shapes import Number
from servicedesk.trade.readings import catalogue

_UNITS = "faults/check_units.yaml"
_MEASURES = "faults/check_measures.yaml"


@cache
def components_of_checks() -> Mapping[str, tuple[str, ...]]:
    """Kinds of unit by check, the one to ask for first in front; a check of no unit is left out."""
    top = Entry.of(shipped_yaml("faults", "check_units.yaml"), file=_UNITS, path="")
    top.known_only(*components())
    found: dict[str, tuple[str, ...]] = {}
    for component in top.values:
        for check in known(top, component, checks()):
            found[check] = (*found.get(check, ()), component)
    return found


def component_of_check(check_id: str, there: Mapping[str, object] | None = None) -> str | None:
    """The kind of unit a check looks at, of those that are `there` if given; None for no unit."""
    kinds = components_of_checks().get(check_id, ())
    if there is not None:
        return next((kind for kind in kinds if kind in there), None)
    return kinds[0] if kinds else None


@cache
def measures() -> Mapping[str, Number]:
    """What is read at a check, by check id. Its id is that of the catalogue, else of the check."""
    found: dict[str, Number] = {}
    for entry in entries_of(shipped_yaml("faults", "check_measures.yaml"), file=_MEASURES):
        entry.known_only("check", "number", "name", "units")
        check = entry.one_of("check", tuple(checks()))
        if check in found:
            raise entry.fault("check", "twice", value=check)
        found[check] = _measure(entry, check)
    return found


def number_of(number_id: str) -> Number | None:
    """A number by its id: of the inspection catalogue, or what is read at a check."""
    return catalogue().number(number_id) or measures().get(number_id)


def _measure(entry: Entry, check: str) -> Number:
    if entry.has("number"):
        number = catalogue().number(entry.text("number"))
        if number is None:
            raise entry.fault("number", "not_known", value=entry.text("number"))
        return number
    units = entry.texts("units")
    if not units or catalogue().number(check) is not None:
        raise entry.fault("units", "none_given")
    return Number(
        id=check,
        name=entry.text("name"),
        units=units,
        why_no_check="a person says what it means; no range is the same at every site",
    )
