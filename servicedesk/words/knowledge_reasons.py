"""What is wrong with an entry of knowledge, as a sentence: for whoever writes the company's own."""

from collections.abc import Callable, Iterable

from servicedesk.values.reason import Reason
from servicedesk.words.languages import say
from servicedesk.words.rule_faults import RULE_WORDS


def knowledge_fault(file: str, key: str, reason: Reason) -> str:
    """Where it stands and what is wrong, in one sentence."""
    if not key:
        return say("{file}: {what}.", file=file, what=_what(reason))
    return say("{file}, {key}: {what}.", file=file, key=key, what=_what(reason))


def fault_alone(reason: Reason) -> str:
    """What is wrong, as a sentence of its own under the field that it belongs to."""
    what = _what(reason)
    return f"{what[:1].upper()}{what[1:]}."


def known_fault_codes() -> frozenset[str]:
    """All codes that have words."""
    return frozenset(_WORDS)


def _what(reason: Reason) -> str:
    return _WORDS[reason.code](reason)


def _list(values: Iterable[object]) -> str:
    return ", ".join(str(value) for value in values)


_WORDS: dict[str, Callable[[Reason], str]] = {
    "not_yaml": lambda r: say("line {n} cannot be read as YAML", n=r["line"]),
    "not_a_mapping": lambda _r: say("names with values are expected here"),
    "not_a_list": lambda _r: say("a list is expected here"),
    "not_a_text": lambda _r: say("a text is expected here"),
    "not_a_number": lambda r: say("{value} is not a number", value=repr(r["value"])),
    "not_a_whole_number": lambda r: say("{value} is not a whole number", value=repr(r["value"])),
    "not_yes_or_no": lambda r: say("{value} is not true or false", value=repr(r["value"])),
    "not_a_day": lambda r: say("{value} is not a day", value=repr(r["value"])),
    "not_a_share": lambda _r: say("a chance lies between 0 and 1, without both ends"),
    "not_above_zero": lambda r: say("{value} is not above zero", value=r["value"]),
    "out_of_range": lambda r: say(
        "{value} is not from {least} to {most}", value=r["value"], least=r["least"], most=r["most"]
    ),
    "unknown_key": lambda r: say(
        "this name is not known here; known are {names}", names=_list(r["allowed"])
    ),
    "not_one_of": lambda r: say(
        "{value} is none of {names}", value=repr(r["value"]), names=_list(r["allowed"])
    ),
    "not_known": lambda r: say("{value} is not known", value=r["value"]),
    "no_such_caution": lambda r: say("{value} is not known", value=r["value"]),
    "twice": lambda r: say(
        "{value} is there already", value=dict(r.values).get("value", say("one of them"))
    ),
    "row_does_not_add_up": lambda r: say(
        "the chances add up to {total}, not to 1", total=r["total"]
    ),
    "not_the_results_of_the_check": lambda r: say(
        "the chances must name each result of {check} once", check=r["value"]
    ),
    "cause_without_symptom": lambda _r: say(
        "no symptom leads to this cause: add a weight for one symptom at least"
    ),
    "not_told_apart": lambda r: say(
        "no check tells it from {other}: give it a check whose results differ", other=r["other"]
    ),
} | RULE_WORDS
