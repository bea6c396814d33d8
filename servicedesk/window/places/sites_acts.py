"""What can be done on the pages of sites: in the list, and in the file of one site."""

from collections.abc import Callable
from typing import Any, Protocol

from servicedesk.window.actions import Act
from servicedesk.window.widgets.site_trouble import trouble_acts
from servicedesk.words import say

Verb = Callable[[], object]


class Doer(Protocol):
    """The place as the actions know it; each name is looked up when its action is done."""

    def new_site(self) -> None: ...
    def search(self) -> None: ...
    def place_site(self) -> None: ...
    def list_verb(self, verb: str) -> Verb: ...
    def file_verb(self, verb: str) -> Verb: ...
    def trouble_verb(self, verb: str) -> Any: ...
    def trouble_why(self, reason: str) -> Any: ...
    def why_no_file(self) -> str | None: ...


def acts_of(place: Doer) -> tuple[Act, ...]:
    """Every action of the place, with its key."""
    return (
        *_on_list(place),
        *_on_file(place),
        *trouble_acts(place.trouble_verb, place.trouble_why),
    )


def _on_list(place: Doer) -> tuple[Act, ...]:
    group = say("The list")
    return tuple(
        Act(id=name, text=text, shortcut=key, do=do, group=group)
        for name, text, key, do in (
            ("new", say("New site"), "N", place.new_site),
            ("search", say("Search in the list"), "Ctrl+F", place.search),
            ("sort", say("Sort by the next column"), "S", place.list_verb("sort_next")),
            ("turn", say("Turn the order round"), "R", place.list_verb("turn_order")),
            ("tight", say("Roomy or tight rows"), "Z", place.list_verb("turn_tight")),
        )
    )


def _on_file(place: Doer) -> tuple[Act, ...]:
    group = say("The site")
    where = Act(
        id="where", text=say("Where is it?"), shortcut="P", do=place.place_site, group=group
    )
    return (
        where,
        *(
            Act(id=name, text=text, shortcut=key, do=place.file_verb(verb), group=group,
                when=place.why_no_file)
            for name, text, key, verb in (
                ("edit", say("Edit the site"), "E", "edit"),
                ("rule", say("Service rule of its systems…"), "Shift+R", "choose_rule"),
                ("plan", say("Plan a visit…"), "L", "visits.plan"),
                ("another_day", say("Another day, the customer asks"), "Y", "another_day.ask"),
                ("told", say("Told them…"), "D", "tell"),
                ("owe", say("Owe something…"), "O", "owe"),
                ("add_files", say("Add photos and papers…"), "A", "files.choose_files"),
                ("print", say("Print the history"), "H", "papers.print_history"),
                ("print_owner", say("Print the history for the owner"), "Shift+H",
                 "papers.print_for_owner"),
                ("secrets", say("Show or hide codes"), "F8", "turn_secrets"),
                ("as_text", say("Life strip as text, or drawn"), "T", "turn_text"),
            )
        ),
    )  # fmt: skip
