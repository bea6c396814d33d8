"""Who can do which job, and who may: skills, licenses valid that day, whom the customer wants."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from servicedesk.desk.office import Desk
from servicedesk.records import company_rows, report_rows
from servicedesk.records.company import Technician
from servicedesk.values.abilities import ANY_LICENSE, license_mark

# common practice, no source: what a job of a kind asks of whoever does it
SKILL_OF = {
    "inspection": "inspection",
    "callback": "callback",
    "owed": "repair",
    "repair": "repair",
    "installation": "installation",
    "start-up": "installation",
    "pump-out": "pump-out",
}

# Work on a system is for a licensed provider or a registered technician employed by one:
# 30 TAC 285.7(b). A look for an estimate and a drive for a hauler are not meant.
LICENSED = frozenset({"inspection", "callback", "owed", "repair", "installation", "start-up"})


@dataclass(frozen=True, slots=True)
class Staff:
    """Everybody with the company on a day, at work or not, and every license written down."""

    team: tuple[Technician, ...]
    licenses: tuple[report_rows.LicenseSpan, ...] = ()

    @property
    def keeps_licenses(self) -> bool:
        """Does the company write down who of the team is licensed?"""
        ids = {one.id for one in self.team}
        return any(held.technician_id in ids for held in self.licenses)


def staff_on(desk: Desk, day: date) -> Staff:
    """The team of a day with its licenses."""
    with desk.store.read() as session:
        team = company_rows.technicians(session, day)
        return Staff(tuple(team), tuple(report_rows.license_spans(session)))


def needs_of(kinds: Iterable[str], team: Iterable[Technician]) -> frozenset[str]:
    """The skills that jobs of these kinds ask for, as far as anybody in the team names them.

    What nobody names is asked of nobody: a company that keeps no skills plans as before.
    """
    named = {skill for technician in team for skill in technician.skills}
    return frozenset(SKILL_OF[kind] for kind in kinds if kind in SKILL_OF) & named


def skills_of(technician: Technician, team: Iterable[Technician]) -> frozenset[str]:
    """What a technician can do; with nothing written down about them, all that the team can."""
    if technician.skills:
        return frozenset(technician.skills)
    return frozenset(skill for one in team for skill in one.skills)


def licenses_asked(kinds: Iterable[str], staff: Staff) -> frozenset[str]:
    """A valid license for work on a system, once the company writes any license down."""
    asked = staff.keeps_licenses and not LICENSED.isdisjoint(kinds)
    return frozenset({ANY_LICENSE}) if asked else frozenset()


def licenses_held(technician: Technician, staff: Staff, day: date) -> frozenset[str]:
    """The licenses of a technician that are valid on `day`, as marks of `values.abilities`."""
    held = [x for x in staff.licenses if x.technician_id == technician.id and x.valid_on(day)]
    classes = {license_mark(x.license_class) for x in held}
    return frozenset({ANY_LICENSE, *classes}) if held else frozenset()


def abilities(technician: Technician, staff: Staff, day: date) -> frozenset[str]:
    """Skills and licenses of a technician on a day, as marks of `values.abilities`."""
    return skills_of(technician, staff.team) | licenses_held(technician, staff, day)


@dataclass(frozen=True, slots=True)
class Wishes:
    """What a visit asks for beyond its jobs. Skills and license are hard, the person is not."""

    technician_id: int | None = None
    skills: frozenset[str] = frozenset()
    license_class: str = ""

    @property
    def marks(self) -> frozenset[str]:
        """Skills and license as marks of `values.abilities`."""
        asked = {license_mark(self.license_class)} if self.license_class else set()
        return self.skills | asked


def wishes_of(kept: Mapping[str, Any]) -> Wishes:
    """The wishes as a visit keeps them: ``technician_id``, ``skills``, ``license``."""
    who = kept.get("technician_id")
    return Wishes(
        technician_id=who if isinstance(who, int) else None,
        skills=frozenset(str(skill) for skill in kept.get("skills") or ()),
        license_class=str(kept.get("license") or ""),
    )
