"""What can be done on the page of patterns: the table of its actions."""

from typing import Protocol

from servicedesk.desk.patterns import Pattern
from servicedesk.window.actions import Act
from servicedesk.words import say, say_n


class ShowsPatterns(Protocol):
    """What the actions ask of the place."""

    def turn_everything(self) -> None:
        """All that is compared, or only what stands out."""

    def write_sheet(self) -> None:
        """The rows as a spreadsheet."""

    def write_wall(self) -> None:
        """The paper for the shop wall."""

    def ask_costs(self) -> None:
        """The form of what savings rest on."""

    def compute(self) -> None:
        """Work the page out again."""

    def put(self) -> None:
        """Owe the work."""

    def choose(self) -> None:
        """Keys to the systems."""

    def turn_more(self) -> None:
        """All systems, or the first."""

    def exposed_all(self) -> None:
        """Choose all or none."""

    def show_in_sites(self) -> None:
        """The systems in the list and on the map of all sites."""

    def to_rows(self) -> None:
        """Keys back to the rows."""

    def why_no_page(self) -> str | None:
        """Why nothing can be done yet."""

    def why_no_pattern(self) -> str | None:
        """Why nothing can be done about the chosen row."""

    def why_not_put(self) -> str | None:
        """Why no work can be put on visits."""


def pattern_acts(place: ShowsPatterns) -> tuple[Act, ...]:
    """All actions of the place, single letters among them."""
    page, one = say("What keeps coming back"), say("The chosen pattern")
    has, stands = place.why_no_page, place.why_no_pattern
    return (
        Act(id="everything", text=say("All that is compared, or what stands out"), shortcut="A",
            do=place.turn_everything, group=page, when=has),
        Act(id="sheet", text=say("Sheet of these rows"), shortcut="S", do=place.write_sheet,
            group=page, when=has),
        Act(id="print", text=say("Print for the shop wall"), shortcut="Ctrl+P",
            do=place.write_wall, group=page, when=has),
        Act(id="costs", text=say("Write your own figures…"), shortcut="C", do=place.ask_costs,
            group=page, when=has),
        Act(id="again", text=say("Work the patterns out again"), shortcut="R", do=place.compute,
            group=page),
        Act(id="put", text=say("Put the check on the chosen systems"), shortcut="P",
            do=place.put, group=one, when=place.why_not_put),
        Act(id="choose", text=say("Choose which systems"), shortcut="E", do=place.choose,
            group=one, when=stands),
        Act(id="more", text=say("All systems, or the first"), shortcut="M", do=place.turn_more,
            group=one, when=stands),
        Act(id="all", text=say("Choose all or none"), shortcut="X", do=place.exposed_all,
            group=one, when=stands),
        Act(id="sites", text=say("Show the exposed in Sites"), shortcut="L",
            do=place.show_in_sites, group=one, when=stands),
        Act(id="rows", text=say("Back to the rows"), shortcut="Esc", do=place.to_rows, group=one),
    )  # fmt: skip


def put_words(pattern: Pattern, n: int) -> str:
    """What the main button says: for a model the work is to replace, else to look."""
    if pattern.kind == "model":
        return (
            say_n("Put the work on {n} visit", "Put the work on {n} visits", n)
            if n
            else say("Put the work on visits")
        )
    return (
        say_n("Put the check on {n} visit", "Put the check on {n} visits", n)
        if n
        else say("Put the check on visits")
    )
