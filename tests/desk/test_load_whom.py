"""Who a part is for, and how far off a chance may be, in words."""

from dataclasses import replace

import pytest

from servicedesk.desk.load import PickLine, TruckLoad
from servicedesk.desk.load_text import chance_lines, span_text, whom_text
from servicedesk.desk.load_whom import Whom, whom_of
from servicedesk.stock.needs import Need

PUMP, LAMP = (("pump", 1),), (("lamp", 1),)
PLACES = {"1": "1 Oak Lane", "2": "2 Elm Road", "3": "3 Ash Court"}
USUAL = [Need("3", ((0.02, PUMP),), is_usual=True) for _ in range(4)]
RARE_CALL = Need("1", ((0.035, PUMP), (0.6, LAMP)), cases=12)
CALL = Need("2", ((0.4, PUMP),), cases=12)
OWED = Need("2", ((1.0, PUMP),))


@pytest.mark.parametrize(
    ("needs", "kind", "address"),
    [
        ([*USUAL, RARE_CALL, CALL, OWED], "owed", "2 Elm Road"),
        ([*USUAL, RARE_CALL, CALL], "callback", "2 Elm Road"),
        ([*USUAL, *USUAL, RARE_CALL], "inspection", ""),
        (USUAL, "inspection", ""),
    ],
)
def test_who_asks_for_it_most_is_named(needs, kind, address):
    found = whom_of(needs, PLACES)["pump"]
    assert (found.kind, found.address) == (kind, address)


def test_of_inspections_all_that_may_take_it_count():
    found = whom_of(USUAL, PLACES)["pump"]
    assert (found.chance, found.n) == (pytest.approx(0.08), 4)
    assert whom_of([RARE_CALL], PLACES)["lamp"].address == "1 Oak Lane"


def pick(whom):
    return PickLine(key="pump", name="Pump", numbers="P-1", quantity=1, buy=0, on_truck=0,
                    on_shelf=1, adds=0.1, whom=whom)  # fmt: skip


@pytest.mark.parametrize(
    ("whom", "text"),
    [
        (None, ""),
        (Whom(kind="owed", address="2 Elm Road", chance=1.0, n=1), "owed at 2 Elm Road"),
        (Whom(kind="callback", address="1 Oak Lane", chance=0.4, n=1),
         "1 Oak Lane may need it, 40%"),
        (Whom(kind="inspection", address="", chance=1.0, n=9), "1 in 9 inspections"),
        (Whom(kind="inspection", address="", chance=0.02, n=7), "1 in 350 inspections"),
        (Whom(kind="inspection", address="", chance=0.001, n=9), ""),
    ],
)  # fmt: skip
def test_who_it_is_for_in_words(whom, text):
    assert whom_text(pick(whom)) == text


LOAD = TruckLoad(
    technician_id=1, technician="Lena", truck="T1", days=(), n_visits=1, n_inspections=1,
    n_calls=0, n_owed=0, before=0.5, unbought=0.9, after=0.91, low=0.80, high=0.96, most=1.0,
    service=0.95, at_least=False, is_best=True, picks=(), further=(), unclear=(), not_kept=(),
)  # fmt: skip


def test_a_chance_says_how_far_off_it_may_be():
    assert span_text(LOAD) == "could be 80 to 96%"
    (line,) = chance_lines(LOAD)
    assert line == (
        "All finished at the first visit: 50% as the truck is, 91% with this list, "
        "could be 80 to 96%"
    )


def test_what_is_sure_has_no_range():
    sure = replace(LOAD, after=1.0, low=1.0, high=1.0)
    assert span_text(sure) == ""
    assert chance_lines(sure)[0].endswith("100% with this list")
