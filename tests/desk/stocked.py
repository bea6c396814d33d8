"""A truck, a shelf and a visit for the tests of parts used; made once, copied for each test."""

from copy import copy
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from shutil import copyfile

import pytest

from servicedesk.desk import ledger, parts
from servicedesk.desk.ledger import Move
from servicedesk.desk.writeup import write_up
from servicedesk.desk.writeup_form import visit_form
from servicedesk.desk.writeup_notes import PartNote, UnitNote
from servicedesk.records.company import Truck
from servicedesk.records.equipment import Unit, UnitModel
from servicedesk.records.parts import StockPlace
from servicedesk.records.store import open_store
from servicedesk.records.visits import PartLine
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_round,
    a_site,
    a_technician,
    a_unit,
    a_visit,
)
from tests.conftest import NOW
from tests.desk.conftest import _seated
from tests.desk.written_visits import notes_for, rows

YESTERDAY = TODAY - timedelta(days=1)
IN_A_YEAR = TODAY + timedelta(days=365)


def a_part(desk, number, name, kind="", *, price=None, cost=None, **values):
    entry = {"number": number, "name": name, "part_kind": kind, **values}
    (part_id,) = parts.write_part(desk, entry).rows["part"]
    if price is not None or cost is not None:
        parts.price_part(
            desk, part_id, from_on=date(2026, 1, 1), cost_minor=cost, price_minor=price
        )
    return part_id


class Stocked:
    """A truck T1 with ten of everything, a shelf with twenty, Lena's round and her visit."""

    def __init__(self, desk, *, kind_of="inspection", contract=True, limit=15_000, **job):
        self.desk = desk
        self.kit = a_part(desk, "W-012", "Splice kit, sealed", "sealed-splice-kit", price=1_920,
                          cost=1_200, barcode="4006381333931")  # fmt: skip
        self.pump = a_part(desk, "P-050", "Pump, 1/2 hp", "effluent-pump", price=52_000)
        self.tablets = a_part(desk, "C-025", "Tablets, tub 25 lb", "tablets-wastewater",
                              price=4_000)  # fmt: skip
        with desk.store.change(desk.who, "Wrote places") as work:
            truck = work.add(Truck(name="T1"))
            self.shelf = work.add(StockPlace(name="Shelf")).id
            self.truck = work.add(StockPlace(name="T1", truck_id=truck.id)).id
        for part in (self.kit, self.pump, self.tablets):
            for place, n in ((self.shelf, 20), (self.truck, 10)):
                bought = Move(part_id=part, why="bought", quantity=n, to_place_id=place,
                              on=YESTERDAY)  # fmt: skip
                ledger.move(desk, bought)
        self.site = a_site(desk)
        if contract:
            a_contract(desk, self.site, approval_limit_minor=limit)
        lena = a_technician(desk, truck_id=truck.id)
        round_ = a_round(desk, lena, state="handed out", truck_id=truck.id)
        if kind_of == "callback":
            job["call_id"] = a_call(desk, self.site).id
        self.visit = a_visit(desk, self.site, kind_of=kind_of, job=job, round_id=round_.id,
                             place=1)  # fmt: skip

    def write(self, *lines, **more):
        return write_up(self.desk, notes_for(self.desk, self.visit, parts=lines, **more))

    def lies(self, part, place=None):
        return ledger.balances(self.desk).get((part, place or self.truck), 0)

    @property
    def lines(self):
        return rows(self.desk, PartLine)

    @property
    def form(self):
        return visit_form(self.desk, self.visit.id)


class WithPump(Stocked):
    """The same with the pump of 2019 in the tank, patched."""

    def __init__(self, desk, *, warranty_until=None, **more):
        super().__init__(desk, limit=None, **more)
        with desk.store.change("Ines", "Wrote a model") as work:
            model = work.add(UnitModel(component="effluent-pump", name="half horse"))
        self.old = a_unit(desk, self.site, serial="A1", state="patched", model_id=model.id,
                          warranty_until=warranty_until,
                          attributes={"voltage": "115"})  # fmt: skip

    def note(self, **unit):
        values = {
            "component": "effluent-pump", "old_unit_id": self.old.id, "why": "failed",
            "whereabouts": "on the truck", "serial": "B2", "warranty_until": date(2028, 10, 14),
        }  # fmt: skip
        return PartNote(text="", part_id=self.pump, unit=UnitNote(**values | unit))

    @property
    def units(self):
        return rows(self.desk, Unit)


@pytest.fixture(scope="module")
def template(tmp_path_factory, empty_file):
    """The truck, made once a module, and where its store lies."""
    path = tmp_path_factory.mktemp("stocked") / "one.store"
    return made_once(Stocked, empty_file, path), path


@pytest.fixture
def stocked(template, tmp_path):
    """A copy of it for one test."""
    here = copied(*template, tmp_path / "company.store")
    yield here
    here.desk.store.close()


def made_once(kind, empty_file: Path, path: Path, **values):
    """One of the two above in a store file of its own, closed, to be copied."""
    copyfile(empty_file, path)
    here = kind(_seated(open_store(path, now=lambda: NOW)), **values)
    here.desk.store.close()
    return here


def copied(here, path: Path, to: Path):
    """The same on a copy of its store; the caller closes it."""
    copyfile(path, to)
    again = copy(here)
    again.desk = replace(here.desk, store=open_store(to, now=lambda: NOW))
    return again
