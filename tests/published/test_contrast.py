"""Every contrast of the look, recomputed.

Formula: WCAG 2.2, definitions of contrast ratio and relative luminance, success criteria 1.4.3
(text 4.5) and 1.4.11 (marks 3.0). Table: the look's tokens, contrast against sheet / ground /
sunken / own soft tint.
"""

import json

import pytest

from servicedesk.values.resources import resource
from servicedesk.values.tokens import Tokens, contrast_ratio, load_tokens

# name: sheet, ground, sunken, soft
LIGHT = {
    "ink": (14.7, 13.1, 11.9, None),
    "ink2": (7.6, 6.8, 6.1, None),
    "ink3": (6.3, 5.6, 5.1, None),
    "water": (7.1, 6.3, 5.7, 5.8),
    "clay": (6.5, 5.8, 5.3, 5.3),
    "ochre": (6.5, 5.8, 5.2, 5.4),
    "moss": (6.5, 5.8, 5.3, 5.3),
    "plum": (7.6, 6.8, 6.1, 6.1),
    "edge": (4.2, 3.7, 3.4, None),
    "focus": (6.1, 5.5, 4.9, None),
}
DARK = {
    "ink": (13.3, 14.9, 15.7, None),
    "ink2": (9.0, 10.1, 10.6, None),
    "ink3": (6.3, 7.1, 7.4, None),
    "water": (7.9, 8.9, 9.4, 6.3),
    "clay": (7.3, 8.2, 8.6, 6.4),
    "ochre": (8.2, 9.2, 9.7, 6.8),
    "moss": (8.2, 9.2, 9.7, 6.7),
    "plum": (7.8, 8.7, 9.2, 6.9),
    "edge": (4.1, 4.6, 4.8, None),
    "focus": (7.6, 8.5, 9.0, None),
}
SPINE_LIGHT = {"spine_text": 11.4, "spine_text2": 6.8}
MARKS_ONLY = {"edge"}
GROUNDS = ("sheet", "ground", "sunken")


def _rows():
    for theme, table in (("light", LIGHT), ("dark", DARK)):
        tokens = load_tokens(theme)
        for name, figures in table.items():
            for ground, stated in zip((*GROUNDS, f"soft.{name}"), figures, strict=True):
                if stated is not None:
                    yield tokens, name, ground, stated


@pytest.mark.parametrize(
    ("tokens", "name", "ground", "stated"),
    [pytest.param(*row, id=f"{row[0].theme}-{row[1]}-on-{row[2]}") for row in _rows()],
)
def test_contrast_is_the_stated_one_and_enough(
    tokens: Tokens, name: str, ground: str, stated: float
):
    ratio = contrast_ratio(tokens.color(name), tokens.color(ground))
    # the table is rounded to one digit; a half in the last place is the most it can be off
    assert ratio == pytest.approx(stated, abs=0.0501)
    assert ratio >= (3.0 if name in MARKS_ONLY else 4.5)


@pytest.mark.parametrize(("name", "stated"), SPINE_LIGHT.items())
def test_texts_on_the_spine_are_as_stated(name: str, stated: float):
    tokens = load_tokens("light")
    assert contrast_ratio(tokens.color(name), tokens.colors.spine) == pytest.approx(
        stated, abs=0.0501
    )


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_what_the_table_leaves_out_can_be_read_too(theme):
    tokens = load_tokens(theme)
    for name in SPINE_LIGHT:
        assert contrast_ratio(tokens.color(name), tokens.colors.spine) >= 4.5
    assert contrast_ratio(tokens.colors.on_water, tokens.colors.water) >= 4.5
    for tint in ("water", "clay", "ochre", "moss", "plum"):
        assert contrast_ratio(tokens.colors.ink, tokens.color(f"soft.{tint}")) >= 4.5
    for area in ("land", "wood", "river", "road"):
        assert contrast_ratio(tokens.colors.ink, tokens.color(f"map.{area}")) >= 4.5


def test_known_ratios_come_out_and_order_does_not_matter():
    # WCAG 2.2: white on black is 21:1, a color on itself 1:1
    assert contrast_ratio("#FFFFFF", "#000000") == pytest.approx(21)
    assert contrast_ratio("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast_ratio("#808080", "#808080") == pytest.approx(1)
    # the well-known lightest gray that still carries text on white (from memory)
    assert contrast_ratio("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.005)


def test_an_unknown_color_name_is_our_mistake():
    with pytest.raises(AttributeError):
        load_tokens("light").color("type.text")


def test_every_family_named_is_shipped():
    data = json.loads(resource("tokens", "tokens.json").read_text(encoding="utf-8"))
    shipped = {
        (family, weight)
        for family, weight, file in (
            ("Inter", 400, "Inter-Regular.ttf"),
            ("Inter", 500, "Inter-Medium.ttf"),
            ("Inter", 600, "Inter-SemiBold.ttf"),
            ("Onsite Title", 600, "OnsiteTitle-SemiBold.ttf"),
        )
        if resource("fonts", file).is_file()
    }
    assert {(role["family"], role["weight"]) for role in data["type"].values()} <= shipped
