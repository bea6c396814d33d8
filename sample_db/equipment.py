"""The catalogue of models, what hangs in a system, and how long it lasts."""

import math
from datetime import date, timedelta
from random import Random
from typing import Any

from sample_db.rows import Row
from sample_db.state import Plant, Setting, truth_table, weighted

# component: models with their share of the fleet; names invented, no makers
MODELS: dict[str, dict[str, float]] = {
    "air-compressor": {
        "M-40 diaphragm": 29, "M-60 diaphragm": 47, "R-2 rotary": 4, "V-1 linear": 20,
    },
    "effluent-pump": {"E-12 1/2 hp": 60, "E-20 1/2 hp": 30, "E-75 3/4 hp": 10},
    "alarm-float": {"F-220 wide-angle": 55, "F-110 narrow": 45},
    "pump-floats": {"F-300 pump-rated": 70, "F-310 pump-rated": 30},
    "control-panel": {"P-240 timer panel": 60, "P-120 demand panel": 40},
    "alarm-circuit": {"A-1 lamp and horn": 65, "A-2 board": 35},
    "diffuser": {"D-40 stone": 60, "D-70 membrane": 40},
    "tablet-chlorinator": {"C-2 tube": 75, "C-3 tube": 25},
    "liquid-chlorinator": {"L-1 venturi": 100},
    "uv-unit": {"U-30 lamp": 100},
    "spray-heads": {"S-110 low angle": 65, "S-130 rotor": 35},
    "drip-filter": {"K-100 disc": 100},
    "timer": {"W-24 clock": 100},
    "check-valve": {"V-20 spring": 60, "V-30 flap": 40},
}  # fmt: skip


def make_models(s: Setting) -> dict[tuple[str, str], int]:
    """The catalogue of models; the answer leads from component and name to the key."""
    keys = {}
    for component, names in MODELS.items():
        for name in names:
            row = s.rows.add("unit_model", component=component, name=name)
            keys[component, name] = row["id"]
    bad = truth_table()["model"]
    s.truth.model = {**bad, "model_id": keys[bad["component"], bad["name"]]}
    s.truth.practice = {**truth_table()["practice"], "unit_ids": []}
    return keys


def components_of(flags: frozenset[str]) -> list[str]:
    """What a system of these flags has, in a fixed order."""
    found = [
        "air-compressor", "diffuser", "control-panel", "alarm-circuit", "alarm-float",
        "pump-floats", "effluent-pump", "splices-box",
    ]  # fmt: skip
    by_flag = {
        "tablet": "tablet-chlorinator", "bleach": "liquid-chlorinator", "uv": "uv-unit",
        "spray": "spray-heads", "drip": "drip-filter", "timer": "timer",
        "check-valve": "check-valve",
    }  # fmt: skip
    return found + [component for flag, component in by_flag.items() if flag in flags]


def install_units(s: Setting, plant: Plant, keys: dict[tuple[str, str], int]) -> None:
    """Put the first units of a system in, as they hung there when it came under our care."""
    installer = plant.system["installer_id"]
    for component in components_of(plant.flags):
        model = None
        if component in MODELS:
            model = keys[component, weighted(s.rng, MODELS[component])]
        row = s.rows.add(
            "unit", system_id=plant.system["id"], component=component, model_id=model,
            installed_on=plant.system["started_on"], attributes={},
            installed_by="Brackwater Site Works" if installer == 3 else "",
        )  # fmt: skip
        if component == "splices-box":
            row["attributes"] = _splice(s.rng, plant, bad_installer=installer == 3)
        if component == "alarm-float":
            row["attributes"] = {"type": "normally open"}
        plant.units[component] = row
        if follows_practice(row):
            s.truth.practice["unit_ids"].append(row["id"])


def _splice(rng: Random, plant: Plant, *, bad_installer: bool) -> dict[str, Any]:
    if "splice-in-riser" not in plant.flags:
        return {"splice": "home run", "sealing": "none"}
    if plant.kind is not None and plant.kind["component"] == "splices-box":
        return {"splice": "in tank", "sealing": rng.choice(["plain tape", "dry twist-on"])}
    if rng.random() < (0.75 if bad_installer else 0.25):
        return {"splice": "in tank", "sealing": rng.choice(["plain tape", "dry twist-on"])}
    if rng.random() < 0.3:
        return {"splice": "in tank", "sealing": "gel"}
    return {"splice": "box", "sealing": rng.choice(["gel", "adhesive sleeve"])}


def follows_practice(unit: Row) -> bool:
    """Whether the unit was made by the practice that fails far more than its peers."""
    bad = truth_table()["practice"]
    made = unit["attributes"]
    return (
        unit["component"] == bad["component"]
        and made.get("splice") == bad["splice"]
        and made.get("sealing") in bad["sealings"]
    )


def life_days(s: Setting, unit: Row) -> int:
    """How many days this unit will work, drawn from its Weibull life."""
    life = truth_table()["lives"][unit["component"]]
    scale = float(life["scale"]) * truth_table()["calls"]["life_factor"]
    if unit["model_id"] == s.truth.model["model_id"]:
        scale *= s.truth.model["life_factor"]
    if follows_practice(unit):
        scale *= s.truth.practice["times"] ** (-1 / life["shape"])
    years: float = scale * (-math.log(1 - s.rng.random())) ** (1 / life["shape"])
    return max(20, round(years * 365.25))


def settle_age(s: Setting, unit: Row, begin: date) -> date:
    """The day of its next failure on or after `begin`; earlier ones were mended before our time."""
    installed: date = unit["installed_on"]
    fails = installed + timedelta(days=life_days(s, unit))
    while fails < begin:
        installed = fails
        fails = installed + timedelta(days=life_days(s, unit))
    if installed != unit["installed_on"]:
        unit["installed_on"] = installed
        unit["installed_by"] = ""
    return fails
