"""The form of the company's figures for prices and bills."""

from typing import Any

from servicedesk.desk.price_figures import assumed_figures
from servicedesk.window.widgets.setup_fields import FieldSpec, Kind
from servicedesk.words import say
from servicedesk.words.formats import minor_digits


def price_fields(currency: str) -> tuple[FieldSpec, ...]:
    """Every figure; one left empty says what is reckoned with instead."""
    assumed = assumed_figures(currency)

    def field(name: str, label: str, kind: Kind = "decimal", heading: str = "") -> FieldSpec:
        hint = _assumed(assumed.get(name), kind, currency)
        return FieldSpec(name=name, label=label, kind=kind, heading=heading, hint=hint,
                         currency=currency)  # fmt: skip

    return (
        field("index_percent", say("Index (%)"), heading=say("Price of the next year")),
        field("index_before", say("or index before")),
        field("index_now", say("and index now")),
        field("margin_percent", say("Margin on cost (%)")),
        field("cap_percent", say("Most a price rises (%)")),
        field("round_to_minor", say("Prices are multiples of"), "money"),
        field("hour_cost_minor", say("An hour of work or road"), "money", say("What things cost")),
        field("callback_cost_minor", say("A callback"), "money"),
        field("office_cost_minor", say("Office, a contract and year"), "money"),
        field("pattern_years", say("Savings over (years)"), "number"),
        field("trip_charge_minor", say("A trip in vain"), "money", say("Bills")),
        field("unpaid_limit_minor", say("On hold if unpaid over"), "money"),
        field("bills_since_on", say("Bills watched since"), "day"),
        field("remind_days", say("Remind after (days)"), "number", say("Offers without an answer")),
        field("call_days", say("Then call after (days)"), "number"),
        field("pump_at_percent", say("Pump a tank at (%)"), "decimal", say("Tanks")),
    )


def _assumed(value: Any, kind: Kind, currency: str) -> str:
    if value is None:
        return ""
    if kind == "money":
        digits = minor_digits(currency)
        value = f"{value / 10**digits:.{digits}f}"
    return say("assumed: {value}", value=value)
