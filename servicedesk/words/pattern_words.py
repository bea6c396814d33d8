"""Patterns over the fleet in words: groups, what was counted, flags, what may be done about one."""

from servicedesk.words.calls import plain
from servicedesk.words.languages import say, say_n

_SHORT = {
    "air-compressor": lambda: say("air pump"),
    "effluent-pump": lambda: say("effluent pump"),
    "alarm-float": lambda: say("alarm float"),
    "pump-floats": lambda: say("pump floats"),
    "control-panel": lambda: say("control panel"),
    "alarm-circuit": lambda: say("alarm circuit"),
    "splices-box": lambda: say("wire joints"),
    "diffuser": lambda: say("diffuser"),
    "tablet-chlorinator": lambda: say("tablet chlorinator"),
    "liquid-chlorinator": lambda: say("liquid chlorinator"),
    "uv-unit": lambda: say("ultraviolet unit"),
    "spray-heads": lambda: say("spray heads"),
    "drip-filter": lambda: say("drip filter"),
    "timer": lambda: say("timer"),
    "check-valve": lambda: say("check valve"),
}


def component_text(component: str) -> str:
    """A kind of component in a word or two: "air pump"."""
    return _SHORT[component]() if component in _SHORT else plain(component).lower()


def capital(text: str) -> str:
    """With a capital first letter, as a title begins."""
    return text[:1].upper() + text[1:]


def factor_title(kind: str, component: str) -> str:
    """What the groups of a factor differ in: "Air pump, by model"."""
    part = capital(component_text(component)) if component else ""
    match kind:
        case "model":
            return say("{part}, by model", part=part)
        case "age":
            return say("{part}, by age", part=part)
        case "practice":
            return say("How the wires are joined and sealed")
        case "place":
            return say("Where the wires are joined")
        case "feed":
            return say("Disinfection")
        case "installer":
            return say("Installer of the system")
        case "treatment":
            return say("Treatment")
        case "dispersal":
            return say("Where the water goes")
    return kind


def measure_text(measure: str) -> str:
    """What is counted, per 100 years of exposure."""
    match measure:
        case "failures":
            return say("Failures per 100 unit-years")
        case "repeat calls":
            return say("Repeat calls per 100 unit-years")
        case "callbacks":
            return say("Callbacks per 100 system-years")
    return measure


def band_text(low: float, high: float | None) -> str:
    """An age band: "3–6 years", "over 10 years"."""
    if high is None:
        return say("over {n} years", n=round(low))
    return say("{low}–{high} years", low=round(low), high=round(high))


_PLACES = {
    "in tank": lambda: say("in the tank riser"),
    "box": lambda: say("in a box outside"),
    "home run": lambda: say("no joint, home run"),
}
_SEALINGS = {
    "sealed": lambda: say("sealed against water"),
    "not sealed": lambda: say("only taped or in dry connectors"),
}


def place_text(place: str) -> str:
    """Where wires are joined."""
    return _PLACES[place]() if place in _PLACES else place


def practice_text(place: str, sealing: str) -> str:
    """Where and how wires are joined: "in the tank riser, sealed against water"."""
    if not sealing or sealing == "none":
        return place_text(place)
    how = _SEALINGS[sealing]() if sealing in _SEALINGS else sealing
    return say("{place}, {how}", place=place_text(place), how=how)


_SYSTEM_WORDS = {
    "aerobic": lambda: say("aerobic"),
    "spray": lambda: say("spray"),
    "drip": lambda: say("drip"),
    "pumped": lambda: say("pumped"),
    "gravity": lambda: say("gravity"),
}


def system_word(word: str) -> str:
    """A kind of treatment or dispersal."""
    return _SYSTEM_WORDS[word]() if word in _SYSTEM_WORDS else word


def flag_text(flag: str) -> str:
    """What is to be said of a group; "" where nothing is."""
    match flag:
        case "clearly above":
            return say("clearly above")
        case "maybe":
            return say("keep watching")
        case "too few":
            return say("too few to say")
    return ""


def remedy_text(kind: str, component: str, label: str) -> str:
    """The owed work that a pattern may become."""
    part = component_text(component) if component else ""
    match kind:
        case "practice" | "place":
            return say("Look the wire joints over; remake them sealed, outside the tank")
        case "model":
            return say("Replace the {part} ({label}) before it fails", part=part, label=label)
    if component:
        return say("Look the {part} over", part=part)
    return say("Look the whole system over")


def owed_change_text(what: str, n_systems: int) -> str:
    """The change in words."""
    return say_n("Put on {n} system: {what}", "Put on {n} systems: {what}", n_systems, what=what)
