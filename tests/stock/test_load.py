"""The load against brute force over every outcome and every load, on small cases."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from servicedesk.stock import load as load_module
from servicedesk.stock import needs as needs_module
from servicedesk.stock.load import Stock, best_load
from servicedesk.stock.needs import Need, groups_of

PARTS = ("pump", "float", "splice", "relay")


def by_hand(needs, stock) -> float:
    """The chance that `stock` covers all, summed over every way that things may turn out."""
    total = 0.0
    for outcome in product(*(need.all_ways for need in needs)):
        chance, taken = 1.0, dict.fromkeys(PARTS, 0)
        for p, bundle in outcome:
            chance *= p
            for part, n in bundle:
                taken[part] += n
        if all(n <= stock.get(part, 0) for part, n in taken.items()):
            total += chance
    return total


def cheapest_by_hand(needs, stock: Stock, service: float) -> tuple[float, float]:
    """The least cost that reaches the service, and the most that can be reached."""
    rooms = [stock.to_be_had.get(part, 0) + stock.to_buy.get(part, 0) for part in PARTS]

    def price(part, n):
        return stock.cost[part] * n + stock.buying * max(0, n - stock.to_be_had.get(part, 0))

    def with_more(more):
        return {p: stock.on_truck.get(p, 0) + n for p, n in zip(PARTS, more, strict=True)}

    most = by_hand(needs, with_more(rooms))
    costs = [
        sum(price(p, n) for p, n in zip(PARTS, more, strict=True))
        for more in product(*(range(room + 1) for room in rooms))
        if by_hand(needs, with_more(more)) >= service * most - 1e-12
    ]
    return min(costs), most


BUNDLE = st.dictionaries(st.sampled_from(PARTS), st.integers(1, 2), max_size=2).map(
    lambda taken: tuple(sorted(taken.items()))
)


@st.composite
def a_need(draw):
    weights = draw(st.lists(st.integers(1, 9), min_size=1, max_size=3))
    rest, unknown = draw(st.integers(0, 9)), draw(st.integers(0, 1))
    total = sum(weights) + rest + unknown
    ways = tuple((w / total, draw(BUNDLE)) for w in weights)
    return Need("a visit", ways, unknown / total)


STOCK = st.builds(
    Stock,
    on_truck=st.dictionaries(st.sampled_from(PARTS), st.integers(-1, 1)),
    to_be_had=st.dictionaries(st.sampled_from(PARTS), st.integers(0, 2)),
    cost=st.fixed_dictionaries({part: st.integers(1, 60) for part in PARTS}),
    to_buy=st.dictionaries(st.sampled_from(PARTS), st.integers(0, 1)),
    buying=st.integers(0, 40),
)


@settings(max_examples=120, deadline=None)
@given(
    needs=st.lists(a_need(), min_size=1, max_size=4),
    stock=STOCK,
    service=st.sampled_from([0.0, 0.5, 0.8, 0.95, 1.0]),
)
def test_the_load_is_the_cheapest_that_reaches_the_service(needs, stock, service):
    found = best_load(needs, stock, service=service)
    whole = Stock(
        on_truck={p: max(0, n) for p, n in stock.on_truck.items()},
        to_be_had=stock.to_be_had,
        cost=stock.cost,
        to_buy=stock.to_buy,
        buying=stock.buying,
    )
    cost, most = cheapest_by_hand(needs, whole, service)

    assert found.is_best
    assert found.is_exact
    assert found.cost == pytest.approx(cost)
    assert found.most == pytest.approx(most)
    loaded = dict(whole.on_truck)
    assert found.before == pytest.approx(by_hand(needs, loaded))
    for pick in found.picks:
        assert pick.buy == max(0, pick.quantity - stock.to_be_had.get(pick.part, 0))
        assert pick.buy <= stock.to_buy.get(pick.part, 0)
        loaded[pick.part] = loaded.get(pick.part, 0) + pick.quantity
    assert found.after == pytest.approx(by_hand(needs, loaded))
    assert found.after >= service * most - 1e-9
    unbought = loaded | {p.part: loaded[p.part] - p.buy for p in found.picks}
    assert found.unbought == pytest.approx(by_hand(needs, unbought))
    for pick in found.picks:
        less = loaded | {pick.part: loaded[pick.part] - pick.quantity}
        assert pick.adds == pytest.approx(found.after - by_hand(needs, less))
    for one in found.further:
        more = loaded | {one.part: loaded.get(one.part, 0) + 1}
        assert one.adds == pytest.approx(by_hand(needs, more) - found.after)


@settings(max_examples=60, deadline=None)
@given(needs=st.lists(a_need(), min_size=1, max_size=4), stock=STOCK)
def test_with_too_much_to_look_at_it_still_reaches_what_it_says(needs, stock):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(load_module, "MOST_LOOKED_AT", 0)
        patch.setattr(needs_module, "MOST_STATES", 0)
        found = best_load(needs, stock, service=0.9)
    loaded = {p: max(0, n) for p, n in stock.on_truck.items()}
    for pick in found.picks:
        loaded[pick.part] = loaded.get(pick.part, 0) + pick.quantity

    assert not found.is_best
    # a need that may turn out in several ways with several parts no longer stands whole
    ties = [need for need in needs if len(need.parts) > 1]
    assert not (found.is_exact and any(len(set(need.all_ways)) > 2 for need in ties))
    # a lower limit: things turn out at least so well
    assert found.after <= by_hand(needs, loaded) + 1e-9
    assert found.after >= found.wanted - 1e-9


def test_owed_work_takes_its_parts_exactly():
    needs = [Need("owed", ((1.0, (("pump", 1), ("splice", 2))),))]
    stock = Stock(on_truck={"splice": 1}, to_be_had={"pump": 3, "splice": 9}, cost={"pump": 150})
    found = best_load(needs, stock)

    assert {pick.part: pick.quantity for pick in found.picks} == {"pump": 1, "splice": 1}
    assert (found.before, found.after) == (0.0, 1.0)
    assert found.further == ()


def test_one_cause_or_the_other_share_no_chance():
    """Two calls, each pump or float: one of each covers one of each, not two pumps."""
    call = ((0.5, (("pump", 1),)), (0.5, (("float", 1),)))
    stock = Stock(on_truck={"pump": 1, "float": 1}, to_be_had={}, cost={})
    found = best_load([Need("a", call), Need("b", call)], stock)

    assert found.before == pytest.approx(0.5)  # not 0.75 * 0.75
    # one more of either adds a quarter; none can be had
    assert [(f.part, f.adds, f.is_at_hand) for f in found.further] == [
        ("float", pytest.approx(0.25), False),
        ("pump", pytest.approx(0.25), False),
    ]


def test_what_nobody_can_name_no_load_covers():
    found = best_load(
        [Need("call", ((0.7, (("pump", 1),)),), unknown=0.2)],
        Stock(on_truck={}, to_be_had={"pump": 1}, cost={}),
        service=1.0,
    )

    assert found.most == pytest.approx(0.8)
    assert found.after == pytest.approx(0.8)
    assert found.before == pytest.approx(0.1)


def test_parts_hang_together_only_where_a_need_joins_them():
    needs = [
        Need("a", ((0.5, (("pump", 1),)), (0.2, (("float", 1),)))),
        Need("b", ((0.5, (("relay", 1),)),)),
        Need("c", ()),
    ]

    assert [group.parts for group in groups_of(needs)] == [(), ("float", "pump"), ("relay",)]


@pytest.mark.parametrize("ways", [((0.7, ()), (0.4, ())), ((-0.1, ()),), ((0.5, (("pump", 0),)),)])
def test_chances_that_cannot_be_are_refused(ways):
    with pytest.raises(ValueError, match="cannot be"):
        Need("a", ways)


def test_no_visits_need_nothing():
    found = best_load([], Stock(on_truck={}, to_be_had={}, cost={}))

    assert (found.picks, found.before, found.after) == ((), 1.0, 1.0)
