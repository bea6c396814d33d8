"""Forms of a site: new, edited, told, owed; what they ask and what they write."""

from collections.abc import Mapping
from typing import Any

from servicedesk.desk import owed as owed_desk
from servicedesk.desk import told as told_desk
from servicedesk.desk.office import Desk, Person
from servicedesk.desk.rules import put_each_under, rules_of
from servicedesk.desk.site_entry import NewSite, edit_site, new_site
from servicedesk.desk.sitefile import SiteFile
from servicedesk.desk.sitehistory import how_text
from servicedesk.values.position import PositionSource
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.words import say
from servicedesk.words.calls import debtor, dispersal, role


def source_options() -> tuple[tuple[Any, str], ...]:
    """How a position came to be known, to choose from."""
    return (
        (PositionSource.MAP, say("from a map")),
        (PositionSource.SURVEYED, say("surveyed")),
        (PositionSource.ADDRESS, say("from an address")),
        (PositionSource.GUESSED, say("guessed")),
    )


def rule_options(desk: Desk) -> tuple[tuple[Any, str], ...]:
    """Service rules to choose from, by whom they are; the company's own among them."""
    rules = [
        (rule_id, f"{versions[-1].authority}: {versions[-1].applies_to}")
        for rule_id, versions in rules_of(desk).items()
        if versions
    ]
    return ((None, say("not chosen yet")), *sorted(rules, key=lambda pair: pair[1]))


def rule_choices(desk: Desk, file: SiteFile) -> tuple[FieldSpec, ...]:
    """A choice for each system of a site, by its key."""
    options = rule_options(desk)
    return tuple(
        FieldSpec(
            name=str(one.id), label=one.label or one.permit or say("System"), kind="choice",
            options=options,
        )
        for one in file.systems
    )  # fmt: skip


class WriteRules:
    """Writes under which rule the systems of a site stand."""

    def __init__(self, desk: Desk, site_id: int) -> None:
        self._desk, self._site_id = desk, site_id

    def __call__(self, values: dict[str, Any], _seen: int | None) -> object:
        """On the worker."""
        chosen = {int(name): rule_id for name, rule_id in values.items()}
        return put_each_under(self._desk, self._site_id, chosen)


def new_site_fields(desk: Desk) -> tuple[FieldSpec, ...]:
    """What is asked of a new site; only the address is needed."""
    kinds = ("spray", "drip", "pumped", "gravity")
    roles = ("owner", "occupant", "pays", "opens", "report")
    return (
        FieldSpec(name="address", label=say("Address"), hint=say("118 Dry Hollow Lane")),
        FieldSpec(name="locality", label=say("Village or town")),
        FieldSpec(name="postcode", label=say("Postcode")),
        FieldSpec(name="owner", label=say("Who"), hint=say("Quillan, Ruth"), heading=say("Person")),
        FieldSpec(name="role", label=say("Is what there"), kind="choice",
                  options=tuple((name, role(name)) for name in roles)),
        FieldSpec(name="phones", label=say("Phones"), kind="list",
                  hint=say("several with commas between")),
        FieldSpec(name="permit", label=say("Permit"), heading=say("System")),
        FieldSpec(name="dispersal", label=say("Kind"), kind="choice",
                  options=(("", say("not known yet")), *((k, dispersal(k)) for k in kinds))),
        FieldSpec(name="rule_id", label=say("Service rule"), kind="choice",
                  options=rule_options(desk)),
        FieldSpec(name="position", label=say("Place"), kind="place",
                  heading=say("Where it is; left empty, the roads are asked for the house"),
                  hint=say("29.9541, −94.0213, a geo: address or a copied map link")),
        FieldSpec(name="position_source", label=say("Known how"), kind="choice",
                  options=source_options()),
        FieldSpec(name="note", label=say("Note"), kind="long"),
    )  # fmt: skip


class WriteNewSite:
    """Writes what the form brought."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def __call__(self, values: dict[str, Any], seen: int | None) -> object:
        """On the worker."""
        source = PositionSource(values["position_source"])  # a choice of Qt keeps text
        return new_site(self._desk, NewSite(**{**values, "position_source": source}))


def edit_fields(people: tuple[Person, ...]) -> tuple[FieldSpec, ...]:
    """What can be edited of a site."""
    return (
        FieldSpec(name="address", label=say("Address")),
        FieldSpec(name="locality", label=say("Village or town")),
        FieldSpec(name="postcode", label=say("Postcode")),
        FieldSpec(name="own_number", label=say("Own number")),
        FieldSpec(name="call_before", label=say("Before coming"), kind="tick",
                  hint=say("Call before coming"), heading=say("Getting in")),
        FieldSpec(name="dogs_note", label=say("Dogs")),
        FieldSpec(name="gate_note", label=say("Gate")),
        FieldSpec(name="lids_note", label=say("Lids")),
        FieldSpec(name="access_note", label=say("Access")),
        FieldSpec(name="visiting_from_min", label=say("Visits from"), kind="time",
                  hint=say("any time"), heading=say("When one may come")),
        FieldSpec(name="visiting_until_min", label=say("Visits until"), kind="time",
                  hint=say("any time")),
        FieldSpec(name="visiting_days", label=say("Weekdays"), kind="weekdays", any_day=True),
        FieldSpec(name="wanted_technician_id", label=say("Wants"), kind="choice",
                  options=((None, say("anybody")), *((p.id, p.name) for p in people))),
        FieldSpec(name="on_hold", label=say("On hold"), kind="tick",
                  hint=say("Unpaid over the limit: no visits are placed")),
        FieldSpec(name="note", label=say("Note"), kind="long"),
    )  # fmt: skip


def edit_values(file: SiteFile) -> Mapping[str, Any]:
    """What the form shows at first."""
    names = [spec.name for spec in edit_fields(())]
    return {name: getattr(file.head, name) for name in names}


class WriteSite:
    """Writes the fields of one site that changed."""

    def __init__(self, desk: Desk, site_id: int) -> None:
        self._desk, self._site_id = desk, site_id

    def __call__(self, values: dict[str, Any], seen: int | None) -> object:
        """On the worker."""
        if seen is None:
            raise ValueError("a site is edited at a revision that was shown")
        if values.get("own_number") == "":
            values = {**values, "own_number": None}
        return edit_site(self._desk, self._site_id, values, seen=seen)


def told_fields(*, can_promise: bool) -> tuple[FieldSpec, ...]:
    """What is asked when somebody was told something."""
    fields = [
        FieldSpec(name="whom", label=say("Told whom")),
        FieldSpec(name="how", label=say("How"), kind="choice",
                  options=tuple((way, how_text(way)) for way in told_desk.WAYS)),
        FieldSpec(name="what", label=say("What"), kind="long"),
    ]  # fmt: skip
    if can_promise:
        fields += [
            FieldSpec(name="promised_on", label=say("Promised day"), kind="day",
                      heading=say("A day told is a promise: the visit is held on it")),
            FieldSpec(name="from_min", label=say("Between"), kind="time",
                      covers=("between_min",)),
            FieldSpec(name="until_min", label=say("and"), kind="time"),
        ]  # fmt: skip
    return tuple(fields)


class WriteTold:
    """Writes that somebody was told."""

    def __init__(self, desk: Desk, about: told_desk.About) -> None:
        self._desk, self._about = desk, about

    def __call__(self, values: dict[str, Any], seen: int | None) -> object:
        """On the worker."""
        since, until = values.get("from_min"), values.get("until_min")
        both = (since, until) if since is not None and until is not None else None
        return told_desk.tell(
            self._desk,
            self._about,
            whom=values["whom"],
            what=values["what"],
            how=values["how"],
            promised_on=values.get("promised_on"),
            between_min=both,
            seen=seen,
        )


def owed_fields(*, sites: tuple[tuple[Any, str], ...] = ()) -> tuple[FieldSpec, ...]:
    """What is asked of something owed; `sites` to choose from where the site is not known."""
    first = (
        (FieldSpec(name="site_id", label=say("Site"), kind="choice", options=sites),)
        if sites
        else ()
    )
    return (
        *first,
        FieldSpec(name="what", label=say("What"), hint=say("West spray head tied up")),
        FieldSpec(name="workaround", label=say("Meanwhile"), hint=say("what holds until then")),
        FieldSpec(name="needs", label=say("Needs"), hint=say("riser and nozzle")),
        FieldSpec(name="by_on", label=say("Last day"), kind="day", hint=say("none")),
        FieldSpec(name="debtor", label=say("Who owes it"), kind="choice",
                  options=tuple((name, debtor(name)) for name in owed_desk.DEBTORS)),
        FieldSpec(name="waits_for", label=say("Waits for"), kind="choice",
                  options=waits_options()),
        FieldSpec(name="minutes", label=say("Minutes on site"), kind="number"),
    )  # fmt: skip


def waits_options() -> tuple[tuple[str, str], ...]:
    """What something owed may wait for."""
    return (
        ("", say("nothing")),
        ("approval", say("approval")),
        ("part", say("a part")),
        ("weather", say("the weather")),
        ("other firm", say("another firm")),
        ("day", say("a day")),
    )


class WriteOwed:
    """Writes something owed at a site."""

    def __init__(self, desk: Desk, site_id: int | None = None) -> None:
        self._desk, self._site_id = desk, site_id

    def __call__(self, values: dict[str, Any], seen: int | None) -> object:
        """On the worker."""
        entry = {"site_id": self._site_id, **values}
        return owed_desk.add_owed(self._desk, owed_desk.NewOwed(**entry))
