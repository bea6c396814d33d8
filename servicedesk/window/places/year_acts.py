"""What can be done in the year: the table of its actions."""

from collections.abc import Callable
from functools import partial
from typing import Protocol

from servicedesk.window.actions import Act
from servicedesk.window.widgets.year_reasons import DECISIONS
from servicedesk.words import say
from servicedesk.words.renewal_reasons import decision_text


class ShowsYear(Protocol):
    """What the actions ask of the place."""

    def compute(self) -> None:
        """Work the page out again."""

    def take(self) -> None:
        """Make the next contract of the ticked ones, else of the chosen one."""

    def ask_price(self) -> None:
        """The form of a price set by hand."""

    def decide(self, code: str) -> None:
        """Write a decision about the ticked ones, else the chosen one."""

    def undecide(self) -> None:
        """Go by what is proposed again."""

    def tick_all(self) -> None:
        """Tick all rows shown, or none."""

    def ask_letters(self) -> None:
        """The form of letters."""

    def ask_wording(self) -> None:
        """The wording of the letters."""

    def write_sheet(self) -> None:
        """The renewals sheet."""

    def write_list(self) -> None:
        """The papers of the sheet that is shown."""

    def ask_span(self) -> None:
        """The form of another span."""

    def turn_sheet(self) -> None:
        """The next one of the three sheets."""

    def open_site(self) -> None:
        """The site of the chosen contract."""

    def why_no_page(self) -> str | None:
        """Why nothing can be done yet."""

    def why_no_rows(self) -> str | None:
        """Why nothing can be done about rows."""

    def why_no_row(self) -> str | None:
        """Why nothing can be done about the chosen contract."""

    def why_not_take(self) -> str | None:
        """Why the price cannot be taken."""

    def why_no_list(self) -> str | None:
        """Why there is no list to write."""


def year_acts(place: ShowsYear) -> tuple[Act, ...]:
    """All actions of the place, single letters among them."""
    page, one = say("Renewals of the year"), say("The chosen contract, or those ticked")
    rows = place.why_no_rows

    def act(name: str, text: str, key: str, do: Callable[[], object], group: str,
            when: Callable[[], str | None]) -> Act:  # fmt: skip
        return Act(id=name, text=text, shortcut=key, do=do, group=group, when=when)

    decisions = (
        act(f"decide_{code}", decision_text(code), str(n), partial(place.decide, code), one,
            place.why_no_row)
        for n, code in enumerate(DECISIONS, 1)
    )  # fmt: skip
    return (
        act("take", say("Take the price: make the next contract"), "T", place.take, one,
            place.why_not_take),
        act("own", say("Set a price by hand…"), "P", place.ask_price, one, place.why_no_row),
        *decisions,
        act("undecide", say("Go by what is proposed again"), "0", place.undecide, one,
            place.why_no_row),
        act("open", say("Open the site's file"), "F", place.open_site, one, place.why_no_row),
        act("all", say("Tick all rows shown, or none"), "A", place.tick_all, page, rows),
        act("letters", say("Letters: offers and reminders…"), "Ctrl+P", place.ask_letters, page,
            rows),
        act("wording", say("Wording of the letters…"), "W", place.ask_wording, page,
            place.why_no_page),
        act("sheet", say("Write the renewals sheet"), "S", place.write_sheet, page, rows),
        act("list", say("Papers and lists of the sheet shown"), "L", place.write_list, page,
            place.why_no_list),
        act("span", say("Another span of days…"), "D", place.ask_span, page, place.why_no_page),
        act("turn", say("Renewals, inspections, outlook"), "V", place.turn_sheet, page,
            place.why_no_page),
        Act(id="again", text=say("Work the year out again"), shortcut="R", do=place.compute,
            group=page),
    )  # fmt: skip
