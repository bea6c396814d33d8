"""What somebody can do or may do, in words: skills and licenses as a job asks for them."""

from collections.abc import Iterable

from servicedesk.values.abilities import class_of, is_license
from servicedesk.words.languages import say


def nobody_has(marks: Iterable[str]) -> str:
    """As "nobody at work does pump-outs" or "nobody at work holds a valid license"."""
    skills, licenses = _parted(marks)
    parts = [say("nobody at work does {what}", what=", ".join(skills))] if skills else []
    parts += [
        say("nobody at work holds a valid license ({kind})", kind=kind)
        if kind
        else say("nobody at work holds a valid license")
        for kind in licenses
    ]
    return "; ".join(parts)


def one_lacks(who: str, marks: Iterable[str]) -> str:
    """As "Tobin does not do pump-outs" or "Tobin holds no valid license on that day"."""
    skills, licenses = _parted(marks)
    parts = [say("{who} does not do {what}", who=who, what=", ".join(skills))] if skills else []
    parts += [
        say("{who} holds no valid license ({kind}) on that day", who=who, kind=kind)
        if kind
        else say("{who} holds no valid license on that day", who=who)
        for kind in licenses
    ]
    return "; ".join(parts)


def skill_text(skill: str) -> str:
    """What somebody with the skill does; the company's own word where it is none of ours."""
    known = {
        "inspection": say("inspections"),
        "callback": say("callbacks"),
        "repair": say("repairs"),
        "installation": say("installations"),
        "pump-out": say("pump-outs"),
        "electrical": say("electrical work"),
    }
    return known.get(skill, skill)


def _parted(marks: Iterable[str]) -> tuple[list[str], list[str]]:
    """Skills in words, and the classes of licenses ("" where any will do)."""
    ordered = sorted(marks)
    skills = [skill_text(mark) for mark in ordered if not is_license(mark)]
    return skills, [class_of(mark) for mark in ordered if is_license(mark)]
