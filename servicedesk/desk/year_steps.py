"""Why a price is what it is: what the next year costs, and the steps from the price now."""

from decimal import Decimal

from servicedesk.desk.office import Desk
from servicedesk.desk.renewals import RenewalLine
from servicedesk.desk.year_page import YearPage
from servicedesk.desk.year_words import exact, percent
from servicedesk.papers.year_figures import Step, StepsShown
from servicedesk.renewals.cost import Cost, Rates
from servicedesk.renewals.price import Price
from servicedesk.values.money import rounded_minor
from servicedesk.words import say, say_n


def cost_steps(desk: Desk, page: YearPage, line: RenewalLine) -> StepsShown | None:
    """What the next year will likely cost, part by part; None where it cannot be said."""
    cost, rates = line.next_year, page.page.pricing.rates
    if cost is None or rates is None:
        return None
    return StepsShown(
        steps=tuple(_cost_parts(desk, line, cost, rates)),
        sum_words=say("Cost next year"),
        sum_text=exact(desk, cost.total_minor),
    )


def _cost_parts(desk: Desk, line: RenewalLine, cost: Cost, rates: Rates) -> list[Step]:
    n = line.visits_a_year
    hour = exact(desk, rates.hour_minor)
    each = round(cost.labor_min / n) if n else 0
    road = round(cost.road_min / n) if n else 0
    expected = line.expected
    found = [
        Step(
            words=say_n("{n} inspection, other work", "{n} inspections, other work", n),
            second=say("{minutes} min each at {money} an hour", minutes=each, money=hour),
            minor=cost.labor_minor,
            text=exact(desk, cost.labor_minor),
        ),
        Step(
            words=say("Road"),
            second=say("{minutes} min each, its share of the round", minutes=road),
            minor=cost.road_minor,
            text=exact(desk, cost.road_minor),
        ),
        Step(
            words=say("Parts"),
            second=say("a year, as in the years watched"),
            minor=cost.parts_minor,
            text=exact(desk, cost.parts_minor),
        ),
    ]
    if expected is not None:
        f = desk.formats.number
        second = say(
            "{calls} next year ({low} to {high})",
            calls=f(round(expected.calls, 1)), low=f(round(expected.low, 1)),
            high=f(round(expected.high, 1)),
        )  # fmt: skip
        found.append(
            Step(
                words=say("Likely calls"),
                second=second,
                minor=cost.calls_minor,
                text=exact(desk, cost.calls_minor),
                color="plum",
            )
        )
    if cost.office_minor:
        found.append(
            Step(
                words=say("Office and fees"),
                second=say("the same for every contract"),
                minor=cost.office_minor,
                text=exact(desk, cost.office_minor),
            )
        )
    return found


def price_steps(desk: Desk, page: YearPage, line: RenewalLine) -> StepsShown | None:
    """From the price now to the next one, every step shown, also one that changes nothing."""
    price = line.price
    if price is None:
        return None
    cost = line.next_year.total_minor if line.next_year else None
    return StepsShown(
        steps=tuple(_price_parts(desk, page, price, cost)),
        sum_words=say("Next year"),
        sum_text=exact(desk, price.next_minor),
        is_strong=True,
    )


def _price_parts(desk: Desk, page: YearPage, price: Price, cost: int | None) -> list[Step]:
    policy = page.page.pricing.policy
    margin = percent(desk, policy.margin)
    if cost is None:
        floor = say("what it costs cannot be said")
    else:
        floor = say(
            "cost and {margin} margin want {money}",
            margin=margin, money=exact(desk, price.wanted_minor or 0),
        )  # fmt: skip
    cap = (
        say("no cap on a rise")
        if policy.cap is None
        else say(
            "at most {percent}: {money}",
            percent=percent(desk, policy.cap),
            money=exact(desk, rounded_minor(price.now_minor * (1 + policy.cap))),
        )
    )
    step = exact(desk, policy.round_to_minor)
    found = [
        Step(words=say("Price now"), second="", minor=price.now_minor,
             text=exact(desk, price.now_minor), is_base=True),
        _moved(desk, say("Index"), percent(desk, policy.index, 2), price.index_minor),
        _moved(desk, say("To cover cost and margin"), floor, price.cost_minor),
        _moved(desk, say("Cap on a rise"), cap, price.cap_minor),
        _moved(desk, say("Rounding"), say("to {money}", money=step), price.rounding_minor),
    ]  # fmt: skip
    if price.hand_minor:
        second = say("computed was {money}", money=exact(desk, price.computed_minor))
        found.append(_moved(desk, say("Set by hand"), second, price.hand_minor))
    return found


def _moved(desk: Desk, words: str, second: str, minor: int) -> Step:
    text = exact(desk, abs(minor))
    sign = "+" if minor > 0 else "\u2212" if minor < 0 else ""
    return Step(words=words, second=second, minor=minor, text=sign + text)


def told(desk: Desk, line: RenewalLine) -> tuple[str, ...]:
    """The year behind in sentences: what it cost and brought."""
    found = []
    this, price = line.this_year, line.price
    if this is not None:
        calls = say_n("{n} call", "{n} calls", line.n_calls)
        found.append(
            say("This year it cost {money}, with {calls}.", money=exact(desk, this.total_minor),
                calls=calls)
        )  # fmt: skip
    if line.kept_minor is not None and price is not None:
        found.append(
            say("It brought {now}; {kept} was kept.", now=exact(desk, price.now_minor),
                kept=exact(desk, line.kept_minor))
            if line.kept_minor >= 0
            else say("It brought {now}: {lost} less than it cost.",
                     now=exact(desk, price.now_minor), lost=exact(desk, -line.kept_minor))
        )  # fmt: skip
    if price is not None and line.next_year is not None and price.next_minor:
        kept = price.next_minor - line.next_year.total_minor
        share = percent(desk, Decimal(kept) / price.next_minor, 0)
        found.append(
            say("At the next price {kept} would be kept, {share} of it.", kept=exact(desk, kept),
                share=share)
            if kept >= 0
            else say("At the next price {lost} would be lost.", lost=exact(desk, -kept))
        )  # fmt: skip
    return tuple(found)
