"""The forms of an alert: put off till a day, settled with a reason, a visit planned for it."""

from typing import Any

from servicedesk.desk import alerts
from servicedesk.desk.alerts import JUDGED
from servicedesk.desk.office import Desk
from servicedesk.desk.put_check import ChecksToDo, put_on_next_visit
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.words import say


def put_off_fields() -> tuple[FieldSpec, ...]:
    """Until when, and why."""
    return (
        FieldSpec(name="put_off_until", label=say("Until"), kind="day", hint=say("Nov 2")),
        FieldSpec(name="dealt_why", label=say("Why"), hint=say("owner away till then")),
    )


def settle_fields() -> tuple[FieldSpec, ...]:
    """Whether there was one trouble, and how it was settled."""
    words = {
        "right": say("It was one trouble that came back"),
        "wrong": say("It was not one trouble"),
    }
    return (
        FieldSpec(name="dealt_why", label=say("How it was settled"),
                  hint=say("splice opened, wet, made anew")),
        FieldSpec(name="judged", label=say("The alert was"), kind="choice",
                  options=tuple((one, words[one]) for one in JUDGED)),
    )  # fmt: skip


def plan_fields() -> tuple[FieldSpec, ...]:
    """The last day for the visit."""
    return (FieldSpec(name="by_on", label=say("Visit by"), kind="day", hint=say("Fri")),)


class WritePutOff:
    """On the worker: put an alert off."""

    def __init__(self, desk: Desk, alert_id: int) -> None:
        self._desk, self._id = desk, alert_id

    def __call__(self, values: dict[str, Any], seen: int | None) -> object:
        until = values["put_off_until"] or self._desk.today
        return alerts.put_off(self._desk, self._id, until, why=values["dealt_why"], seen=seen)


class WriteSettled:
    """On the worker: settle an alert."""

    def __init__(self, desk: Desk, alert_id: int) -> None:
        self._desk, self._id = desk, alert_id

    def __call__(self, values: dict[str, Any], seen: int | None) -> object:
        why, judged = values["dealt_why"], values["judged"]
        return alerts.settle(self._desk, self._id, why, judged, seen=seen)


class WritePlanned:
    """On the worker: checks owed by a day, so that a visit is planned for them."""

    def __init__(self, desk: Desk, wanted: ChecksToDo) -> None:
        self._desk, self._wanted = desk, wanted

    def __call__(self, values: dict[str, Any], _seen: int | None) -> object:
        by_on = values["by_on"] or self._desk.today
        return put_on_next_visit(self._desk, self._wanted, by_on=by_on)
