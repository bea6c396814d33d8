"""How crews are told apart: a shape and a line each, the color comes second."""

from dataclasses import dataclass

from servicedesk.values.shapes import MarkKind


@dataclass(frozen=True, slots=True)
class CrewLook:
    """Mark of the stops, dash pattern of the line in px, color name."""

    mark: MarkKind
    dash: tuple[float, ...]
    color: str


_LOOKS = (
    CrewLook("disc", (), "water"),
    CrewLook("square", (7, 4), "ochre"),
    CrewLook("diamond", (2, 3), "plum"),
    CrewLook("pentagon", (8, 3, 2, 3), "moss"),
    CrewLook("triangle", (12, 3), "ink2"),
)


def crew_look(index: int) -> CrewLook:
    """The look of the crew at `index`; beyond five the shapes come again."""
    return _LOOKS[index % len(_LOOKS)]
