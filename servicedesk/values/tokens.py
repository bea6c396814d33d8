"""Colors, type, spacing and sizes of the look, read from ``resources/tokens/tokens.json``.

Palette, style sheet and painters read these; no color value stands anywhere else.
"""

import json
from dataclasses import dataclass
from functools import cache
from typing import Literal

from servicedesk.values.resources import resource

Theme = Literal["light", "dark"]


@dataclass(frozen=True, slots=True)
class Soft:
    """The soft tint of each color that has one, "#RRGGBB"."""

    water: str
    clay: str
    ochre: str
    moss: str
    plum: str


@dataclass(frozen=True, slots=True)
class MapColors:
    """Grounds and roads of the map, "#RRGGBB"."""

    land: str
    wood: str
    river: str
    road: str
    casing: str


@dataclass(frozen=True, slots=True)
class Colors:
    """The named colors, "#RRGGBB". What each means stands in the look's table."""

    ink: str
    ink2: str
    ink3: str
    water: str
    clay: str
    ochre: str
    moss: str
    plum: str
    edge: str
    focus: str
    ground: str
    sheet: str
    sunken: str
    line: str
    spine: str
    spine_text: str
    spine_text2: str
    on_water: str


@dataclass(frozen=True, slots=True)
class TypeRole:
    """Size in px at 100 %, weight 400..600, family name."""

    px: int
    weight: int
    family: str


@dataclass(frozen=True, slots=True)
class TypeRoles:
    """One entry for each role a text can have."""

    page_title: TypeRole
    sheet_title: TypeRole
    sum_small: TypeRole
    sum: TypeRole
    row_lead: TypeRole
    row_lead_alone: TypeRole
    text: TypeRole
    second: TypeRole
    chip: TypeRole
    axis: TypeRole
    map_credit: TypeRole


@dataclass(frozen=True, slots=True)
class Space:
    """Distances in px at 100 %."""

    grid: int
    page_margin: int
    sheet_gap: int
    sheet_padding: int
    focus_gap: int
    hit_min: int


@dataclass(frozen=True, slots=True)
class Stroke:
    """Line widths in px."""

    hairline: float
    chosen: float
    focus: float
    icon: float
    icon_small: float


@dataclass(frozen=True, slots=True)
class Radius:
    """Corner radii in px."""

    sheet: int
    control: int
    chip: int
    bar: int


@dataclass(frozen=True, slots=True)
class Height:
    """Heights (and the spine's width) in px at 100 %."""

    spine_width: int
    top_bar: int
    change_line: int
    control: int
    control_small: int
    row_roomy: int
    row_tight: int
    strip_row: int


@dataclass(frozen=True, slots=True)
class Tokens:
    """Everything the look fixes, for one theme."""

    theme: Theme
    colors: Colors
    soft: Soft
    map: MapColors
    type: TypeRoles
    space: Space
    stroke: Stroke
    radius: Radius
    height: Height

    def color(self, name: str) -> str:
        """The value of a color by the name a shape carries.

        "water" is a color, "soft.water" its tint, "map.river" a map ground. Raises AttributeError
        for any other name.
        """
        group, _, rest = name.rpartition(".")
        if group not in ("", "soft", "map"):
            raise AttributeError(name)
        holder = self.colors if group == "" else self.soft if group == "soft" else self.map
        return str(getattr(holder, rest))


@cache
def load_tokens(theme: Theme) -> Tokens:
    """The tokens of "light" or "dark". A name missing or too many in the file raises TypeError."""
    data = json.loads(resource("tokens", "tokens.json").read_text(encoding="utf-8"))
    chosen = data["themes"][theme]
    return Tokens(
        theme=theme,
        colors=Colors(**chosen["colors"]),
        soft=Soft(**chosen["soft"]),
        map=MapColors(**chosen["map"]),
        type=TypeRoles(**{role: TypeRole(**entry) for role, entry in data["type"].items()}),
        space=Space(**data["space"]),
        stroke=Stroke(**data["stroke"]),
        radius=Radius(**data["radius"]),
        height=Height(**data["height"]),
    )


def contrast_ratio(one: str, other: str) -> float:
    """Contrast of two colors "#RRGGBB": 1 (same) to 21 (black on white), in either order.

    WCAG 2.2, definitions of *contrast ratio* and *relative luminance* (w3.org/TR/WCAG22).
    """
    lighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(color: str) -> float:
    parts = (int(color[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
