"""What an inspection leaves behind: job, items, readings, the report that went out."""

from datetime import date, timedelta
from typing import Any

from sample_db.contracts import Window
from sample_db.fixes import Book, Stop, mend, owe, use_part
from sample_db.rows import Row
from sample_db.state import Plant, Setting

DAY = timedelta(days=1)

# item of the inspection list: component it looks at, equipment it needs
ITEMS: tuple[tuple[str, str, str], ...] = (
    ("lids-found", "", ""),
    ("field-found", "", ""),
    ("air-filter", "air-compressor", ""),
    ("mixing", "diffuser", ""),
    ("clarifier", "", ""),
    ("alarm-circuit-test", "alarm-circuit", ""),
    ("floats-test", "pump-floats", ""),
    ("alarm-float-test", "alarm-float", ""),
    ("splices-look", "splices-box", ""),
    ("disinfection", "tablet-chlorinator", "tablet"),
    ("disinfection", "liquid-chlorinator", "bleach"),
    ("disinfection", "uv-unit", "uv"),
    ("dispersal", "spray-heads", "spray"),
    ("dispersal", "drip-filter", "drip"),
    ("insects", "control-panel", ""),
)
_ITEM_OF_COMPONENT = {component: item for item, component, _ in ITEMS if component} | {
    "timer": "dispersal", "check-valve": "floats-test", "effluent-pump": "floats-test",
    "air-compressor": "mixing",
}  # fmt: skip
_OLD_PAPER = (
    "breaker-state", "selector-position", "bubbles-look", "air-filter-look", "run-in-hand",
    "tablet-tube-look", "spray-watch", "alarm-test-button", "lid-look",
)  # fmt: skip


def inspect(s: Setting, book: Book, window: Window, plant: Plant, stop: Stop) -> Row:
    """A done inspection of one system. The unit that had begun to fail is met here."""
    job = _job(s, window, plant, stop)
    job |= {"outcome": "done", "found": "as usual", "billing": "contract"}
    pending = book.waiting.pop(plant.system["id"], {})
    if stop.day >= s.detail_from:
        _items(s, plant, job, pending)
        _readings(s, plant, job)
    if job["ordinal"] == window.contract["visits_a_year"]:
        _sludge(s, plant, job, stop.day)
    else:
        job["checks_done"] = [c for c in _OLD_PAPER if c not in plant.never]
    for component, cause in pending.items():
        job["found"] = f"found {cause['id'].replace('-', ' ')}"
        job["cause_id"], job["cause_known_by"] = cause["id"], "a direct check"
        if s.rng.random() < 0.7:
            mend(s, book, plant, stop, job, component, cause)
            job["did"] = "mended at once"
        else:
            owe(s, book, plant, stop, job, component, cause)
            job["did"] = "patched, owed"
    if "tablet" in plant.flags and s.rng.random() < 0.12:
        use_part(s, book, stop, job, "tablets-wastewater")
    _report(s, job, plant, stop)
    return job


def find_locked(s: Setting, window: Window, plant: Plant, stop: Stop) -> Row:
    """An attempt that found the gate locked: it satisfies no window."""
    job = _job(s, window, plant, stop)
    job |= {
        "outcome": "could not", "could_not": "no access", "note_left": s.rng.random() < 0.8,
        "told_whom": plant.person(stop.day)[1] if s.rng.random() < 0.4 else "", "minutes": 6,
        "found": "gate locked, nobody home",
    }  # fmt: skip
    return job


def _job(s: Setting, window: Window, plant: Plant, stop: Stop) -> Row:
    return s.rows.add(
        "job", visit_id=stop.visit["id"], kind_of="inspection", system_id=plant.system["id"],
        contract_id=window.contract["id"], ordinal=window.ordinal, window_from=window.begins,
        window_until=window.ends,
    )  # fmt: skip


def _items(s: Setting, plant: Plant, job: Row, pending: dict[str, Any]) -> None:
    rng = s.rng
    failed = {_ITEM_OF_COMPONENT.get(c, "field-found"): v["id"] for c, v in pending.items()}
    for item, component, needs in ITEMS:
        if needs and needs not in plant.flags:
            continue
        grade, note = "good", ""
        if item in plant.never_items or (item == "splices-look" and rng.random() < 0.85):
            grade = "not looked at"
        elif item in failed:
            grade, note = "failed", failed[item].replace("-", " ")
        elif rng.random() < 0.03:
            grade = "watch"
        unit = plant.units.get(component)
        s.rows.add(
            "item_result", job_id=job["id"], item_id=item, grade=grade,
            unit_id=unit["id"] if unit else None, note=note,
        )  # fmt: skip


def _readings(s: Setting, plant: Plant, job: Row) -> None:
    rng = s.rng
    taken = [
        ("air-pressure", f"{rng.gauss(plant.psi, 0.15):.1f}", "psi"),
        ("pump-amps", f"{rng.gauss(plant.amps, 0.2):.1f}", "A"),
        ("dissolved-oxygen", f"{max(0.4, rng.gauss(2.9, 0.7)):.1f}", "mg/L"),
    ]
    if job["ordinal"] % 3 == 0:
        taken.append(("settled-30-min", f"{min(95, max(8, rng.gauss(34, 11))):.0f}", "%"))
    for item, value, unit in taken:
        s.rows.add("reading", job_id=job["id"], item_id=item, value=value, unit=unit)
    if plant.flags & {"tablet", "bleach"}:
        residual = max(0.0, rng.gauss(0.6, 0.35))
        low = residual < 0.1
        s.rows.add(
            "reading", job_id=job["id"], item_id="total-chlorine",
            value="0.1" if low else f"{residual:.1f}",
            unit="mg/L", qualifier="<" if low else "=", limit_low="0.1",
            rule_id=plant.system["rule_id"], rule_version="2022-07-01",
        )  # fmt: skip


def _sludge(s: Setting, plant: Plant, job: Row, day: date) -> None:
    """Scum and sludge in the trash tank: rises year by year until it is pumped out."""
    rng = s.rng
    years = (day - plant.pumped_on).days / 365.25
    inches = max(1.0, plant.sludge_in_a_year * years + rng.gauss(0, 0.7))
    share = 100 * inches / 48  # liquid depth of this tank in inches
    for item, value, unit in (("sludge-depth", inches, "in"), ("solids-share", share, "%")):
        s.rows.add("reading", job_id=job["id"], item_id=item, value=f"{value:.0f}", unit=unit)
    if share > 33:
        plant.pumped_on = day + 20 * DAY


def _report(s: Setting, job: Row, plant: Plant, stop: Stop) -> None:
    """The report leaves some days later; a few were forgotten."""
    rng = s.rng
    age = (s.today - stop.day).days
    forgotten = 18 < age < 45 and rng.random() < 0.06
    sent = s.calendar.working(stop.day + rng.randrange(1, 15) * DAY)
    if forgotten or sent >= s.today:
        s.truth.unsent_job_ids.append(job["id"])
        return
    receivers = ("authority", "owner") if stop.day >= s.detail_from else ("authority",)
    for to in receivers:
        n = len(s.rows.tables["paper_sent"]) + 1
        s.rows.add(
            "paper_sent", number=n, kind_of="inspection report", visit_id=stop.visit["id"],
            job_id=job["id"], contract_id=job["contract_id"], system_id=plant.system["id"],
            to_kind=to, to_whom="Tarrow County" if to == "authority" else plant.person(stop.day)[1],
            how="email" if to == "authority" else rng.choice(["email", "letter"]),
            sent_at=s.calendar.at(sent, 960), signed_by=stop.tech.row["name"],
            licenses=[f"TC-RT-{139 + stop.tech.row['id']}"],
        )  # fmt: skip
