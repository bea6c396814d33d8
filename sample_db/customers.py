"""Sites, customers, systems: who lives where and what stands there."""

from datetime import date, timedelta
from typing import Any

from sample_db.equipment import install_units, make_models
from sample_db.names import ORGANIZATIONS, household, mail_box, phone
from sample_db.rows import Row
from sample_db.state import Plant, Sale, Setting, truth_table
from sample_db.world import Plot, degrees

STAR = "118 Dry Hollow Lane"
PICTURED = frozenset({
    STAR, "9 Tessing Road", "77 Brisk Ferry Road", "3 Heron Bank", "52 Ashpit Lane",
    "1 Granary Row", "6 Larkrise Court", "240 Low Meadow", "31 Quarry Spur", "14 Corvane Hill",
    "22 Sluice Way", "40 Old Weir", "70 Marl Pit Road", "8 Cob Orchard", "15 Stave Hill Lane",
    "18 Rook Street", "5 Fallow End", "63 Burnt Mill", "19 Tannery Row", "Pinder Chapel",
})  # fmt: skip

_ACCESS = (
    "Drive round the back",
    "Narrow lane, turn at the barn", "Park on the road", "Cattle in the field",
    "Soft ground after rain", "Tenant works nights, knock softly", "Steep drive, chains in frost",
)  # fmt: skip
_GATES = ("Gate hook, close it again", "Gate code at the office", "Chain, loop over the post")
_DOGS = ("Dog, friendly", "Two dogs, ring first", "Dog loose, wait at the gate")
_LIDS = (
    "Left of the shed", "By the pear tree", "Behind the coop", "Under the deck hatch",
    "Two buried 4 in", "Between drive and hedge", "North corner, green lids",
)  # fmt: skip


def make_sites(s: Setting) -> None:
    """Sites with customers, roles, systems, units; fills `s.plants`."""
    models = make_models(s)
    plots = _chosen_plots(s)
    organizations = [_organization(s, name) for name in ORGANIZATIONS]
    for i, plot in enumerate(plots):
        joined = _joined(s, plot)
        site = _site(s, plot, i, joined)
        owner = _owner(s, plot, i, organizations, joined, site)
        systems = 2 if s.rng.random() < 0.025 and plot.address != STAR else 1
        for k in range(systems):
            plant = _plant(s, plot, site, owner, joined, k if systems == 2 else -1)
            install_units(s, plant, models)
            s.plants.append(plant)


def _chosen_plots(s: Setting) -> list[Plot]:
    pictured = [p for p in s.world.plots if p.address in PICTURED]
    others = [p for p in s.world.plots if p.address not in PICTURED]
    chosen = s.rng.sample(others, max(0, s.size.sites - len(pictured)))
    return sorted([*pictured, *chosen], key=lambda p: (p.village, p.street, p.number))


def _joined(s: Setting, plot: Plot) -> date:
    if plot.address in PICTURED or s.rng.random() < 0.5:
        return s.begin - timedelta(days=s.rng.randrange(30, 900))
    return s.begin + timedelta(days=s.rng.randrange((s.today - s.begin).days - 20))


def _site(s: Setting, plot: Plot, i: int, joined: date) -> Row:
    rng = s.rng
    lat, lon = degrees(plot.at)
    source = rng.choices(["surveyed", "from a map", "from an address"], [30, 45, 25])[0]
    if rng.random() < 0.03 and plot.address != STAR:
        source = "guessed"
    row = s.rows.add(
        "site", number=i + 1, own_number=f"SF-{1200 + 3 * i}" if rng.random() < 0.8 else None,
        address=plot.address, locality=plot.village, postcode=plot.postcode, lat_deg=lat,
        lon_deg=lon, position_source=source, since_on=joined, call_before=rng.random() < 0.12,
        access_note=rng.choice(_ACCESS) if rng.random() < 0.3 else "",
        gate_note=rng.choice(_GATES) if rng.random() < 0.18 else "",
        dogs_note=rng.choice(_DOGS) if rng.random() < 0.15 else "",
        lids_note=rng.choice(_LIDS) if rng.random() < 0.55 else "",
    )  # fmt: skip
    if source == "guessed":
        _unplace(s, row, plot)
    if rng.random() < 0.08:
        early = rng.random() < 0.5
        row["visiting_from_min"], row["visiting_until_min"] = (480, 720) if early else (720, 1020)
    if rng.random() < 0.02:
        row["visiting_days"] = sorted(rng.sample(range(5), 3))
    if plot.address == STAR:
        row |= {
            "gate_note": "Gate, close it again", "dogs_note": "Two dogs, ring first",
            "lids_note": "Left of the shed, 2 buried 4 in", "call_before": True,
            "note": "Breaker 14, outside panel", "visiting_from_min": None,
            "visiting_until_min": None, "visiting_days": None,
        }  # fmt: skip
    _closed_and_keys(s, row, plot)
    return row


def _unplace(s: Setting, row: Row, plot: Plot) -> None:
    """Half of them have no position, the others the middle of their village."""
    if row["id"] % 2:
        row |= {"lat_deg": None, "lon_deg": None, "position_source": None}
        return
    village = next(v for v in s.world.villages if v.name == plot.village)
    row["lat_deg"], row["lon_deg"] = degrees(village.at)


def _closed_and_keys(s: Setting, row: Row, plot: Plot) -> None:
    rng = s.rng
    if "code" in row["gate_note"] or plot.address == STAR or rng.random() < 0.04:
        code = "4417#" if plot.address == STAR else f"{rng.randrange(1000, 9999)}#"
        s.rows.add("site_secret", site_id=row["id"], what="gate", value=code)
    if rng.random() < 0.03:
        holder = rng.choice([None, s.techs[0].row["id"]])
        s.rows.add("site_key", site_id=row["id"], label="side gate", technician_id=holder)
    if rng.random() < 0.025 and plot.address != STAR:
        # every winter, from December into March
        year = s.begin.year - 1
        s.rows.add(
            "closed_span", site_id=row["id"], from_on=date(year, 12, 15),
            until_on=date(year + 1, 3, 1), every_year=True, why="summer house, water off",
        )  # fmt: skip


def _organization(s: Setting, name: str) -> Row:
    i = len(s.rows.tables["customer"])
    row = s.rows.add(
        "customer", kind_of="organization", name=name, email=f"desk{i}@example.org",
        preferred_way="email", mail_address=f"PO box {100 + i}, Wrenlock",
    )  # fmt: skip
    contact = s.rows.add("contact", customer_id=row["id"], name="Nell Dorrit", what="caretaker")
    e164, typed = phone(60200 + i)
    s.rows.add(
        "phone", customer_id=row["id"], contact_id=contact["id"], e164=e164, typed=typed,
        label="office",
    )  # fmt: skip
    s.phones[row["id"]] = e164
    return row


def _owner(
    s: Setting, plot: Plot, i: int, organizations: list[Row], joined: date, site: Row
) -> Row:
    rng = s.rng
    named = [o for o in organizations if o["name"].split()[0] in plot.street]
    if plot.address == "Pinder Chapel" or (named and rng.random() < 0.6):
        owner = named[0]
    elif rng.random() < 0.03:
        owner = rng.choice(organizations)
    else:
        owner = _household(s, i, "Quillan" if plot.address == STAR else "")
    if rng.random() < 0.08 and owner["kind_of"] == "household" and plot.address != STAR:
        s.sales[site["id"]] = _sold(s, site, owner, i, joined)
    else:
        s.rows.add(
            "site_role", site_id=site["id"], customer_id=owner["id"], role="owner", from_on=joined
        )
    if rng.random() < 0.07:
        tenant = _household(s, i + 20000, "")
        for role in ("occupant", "opens"):
            s.rows.add(
                "site_role", site_id=site["id"], customer_id=tenant["id"], role=role,
                from_on=joined,
            )  # fmt: skip
    return owner


def _sold(s: Setting, site: Row, buyer: Row, i: int, joined: date) -> Sale:
    """The house was sold: the seller's roles end the day the buyer's begin."""
    seller = _household(s, i + 40000, "")
    days = max(60, (s.today - joined).days - 40)
    sold = joined + timedelta(days=s.rng.randrange(40, days))
    for role in ("owner", "pays"):
        s.rows.add(
            "site_role", site_id=site["id"], customer_id=seller["id"], role=role, from_on=joined,
            until_on=sold,
        )  # fmt: skip
    seller["ended_on"] = sold
    s.rows.add("site_role", site_id=site["id"], customer_id=buyer["id"], role="owner", from_on=sold)
    return Sale(sold, seller["id"], _caller(seller), s.phones[seller["id"]])


def _household(s: Setting, i: int, surname: str) -> Row:
    rng = s.rng
    name, first, family = household(rng)
    if surname:
        name, family = f"{surname}, {first}", surname
    row = s.rows.add(
        "customer", name=name, email=mail_box(first, family, i) if rng.random() < 0.6 else None,
        preferred_way=rng.choices(["phone", "text", "email", "letter"], [50, 25, 20, 5])[0],
        own_number=f"C{4000 + i}" if rng.random() < 0.5 else None,
    )  # fmt: skip
    e164, typed = ("+12015550142", "555-0142") if surname else phone(row["id"] + 50)
    s.rows.add("phone", customer_id=row["id"], e164=e164, typed=typed, label="cell")
    s.phones[row["id"]] = e164
    if rng.random() < 0.15:
        e164, typed = phone(row["id"] + 30050)
        s.rows.add("phone", customer_id=row["id"], e164=e164, typed=typed, label="work")
    return row


def _flags(s: Setting, plot: Plot) -> frozenset[str]:
    rng = s.rng
    flags = {"spray" if rng.random() < 0.8 or plot.address == STAR else "drip"}
    if "spray" in flags:
        flags.add(rng.choices(["tablet", "bleach", "uv"], [78, 16, 6])[0])
    for flag, share in (
        ("timer", 0.6), ("light-sensor", 0.1), ("zone-valve", 0.15), ("check-valve", 0.7),
        ("screen", 0.6), ("low-air-switch", 0.8), ("splice-in-riser", 0.85),
        ("low-level-float", 0.3),
    ):  # fmt: skip
        if rng.random() < share or (plot.address == STAR and flag in {"timer", "splice-in-riser"}):
            flags.add(flag)
    return frozenset(flags)


def _plant(s: Setting, plot: Plot, site: Row, owner: Row, joined: date, which: int) -> Plant:
    rng = s.rng
    flags = _flags(s, plot)
    new = joined >= s.begin and rng.random() < 0.25
    started = joined if new else joined - timedelta(days=rng.randrange(200, 4000))
    label = ("House", "Guest house")[which] if which >= 0 else ""
    n = len(s.plants) + 1
    system = s.rows.add(
        "system", site_id=site["id"], label=label, permit=f"TC-{started.year}-{1000 + n}",
        authority_id=s.authority_id, rule_id="tarrow-spray" if "spray" in flags else "tarrow-drip",
        dispersal="spray" if "spray" in flags else "drip", equipment=sorted(flags),
        design_flow_gpd=rng.choice([300, 360, 480, 500, 600]), bedrooms=rng.choice([2, 3, 3, 3, 4]),
        single_family=owner["kind_of"] == "household", started_on=started,
        installer_id=3 if rng.random() < 0.3 else 4,
    )  # fmt: skip
    for what, gallons in (("trash", 500), ("aeration", 600), ("pump", 750)):
        s.rows.add(
            "tank", system_id=system["id"], what=what, volume_gal=gallons, material="concrete"
        )
    shape = truth_table()["calls"]["site_shape"]
    spans = s.rows.tables["closed_span"]
    caller = _caller(owner)
    plant = Plant(
        system, site, plot.at, owner["id"], caller, s.phones[owner["id"]], flags,
        rng.gammavariate(shape, 1 / shape), joined,
        minutes=rng.choice([38, 42, 45, 48, 52, 60]), amps=round(rng.uniform(5.5, 9), 1),
        psi=round(rng.uniform(2.2, 3.4), 1),
        sale=s.sales.get(site["id"]), sludge_in_a_year=rng.uniform(1.8, 4.5),
        pumped_on=joined - timedelta(days=rng.randrange(100, 1200)),
        closed_in_winter=bool(spans) and spans[-1]["site_id"] == site["id"],
    )  # fmt: skip
    if plot.address == STAR:
        system["bedrooms"] = 3
    _seed_trouble(s, plant, star=plot.address == STAR)
    _wire_notes(s, plant)
    return plant


def _caller(owner: Row) -> str:
    return str(owner["name"]).split(",", maxsplit=1)[0]


def _seed_trouble(s: Setting, plant: Plant, *, star: bool) -> None:
    """Decide whether this system gets a trouble that keeps coming back, and from when."""
    table = truth_table()["recurring"]
    room = (s.today - max(plant.joined, s.begin)).days
    chosen = s.rng.random() < table["share"] and room > 2.2 * 365
    if not (star or chosen):
        return
    kinds: list[dict[str, Any]] = [k for k in table["kinds"] if _fits(k, plant.flags)]
    kind = kinds[0] if star else s.rng.choices(kinds, [k["weight"] for k in kinds])[0]
    latest = s.today - timedelta(days=430 if star else 450)
    earliest = max(plant.joined, s.begin, s.today - timedelta(days=1300)) + timedelta(days=200)
    plant.kind = kind
    plant.bad_on = (
        latest
        if star
        else earliest + timedelta(days=s.rng.randrange(max(1, (latest - earliest).days)))
    )
    plant.never = frozenset(kind["never"])
    plant.never_items = frozenset(kind["never_items"])


def _fits(kind: dict[str, Any], flags: frozenset[str]) -> bool:
    if kind["component"] == "splices-box":
        return "splice-in-riser" in flags
    return kind["id"] != "low-air-switch" or "low-air-switch" in flags


def _wire_notes(s: Setting, plant: Plant) -> None:
    star = plant.site["address"] == STAR
    if not star and s.rng.random() > 0.1:
        return
    where = "riser splice" if "splice-in-riser" in plant.flags else "panel"
    checked = s.today - timedelta(days=s.rng.randrange(100, 900))
    for color, does, at in (
        ("black", "pump, hot from timer", where), ("red", "alarm float, hot", where),
        ("white", "neutral, both", where), ("green", "earth", "panel"),
        ("blue", "air pump, hot", "panel"),
    ):  # fmt: skip
        s.rows.add(
            "wire_note", system_id=plant.system["id"], circuit="pump tank", conductor=color,
            does=does, spliced_at=at, verified_on=None if color == "white" else checked,
            note="Notes are no proof: test before touching.",
        )  # fmt: skip
