"""What is written from a site's file by a form: the site itself, what was told, what is owed."""

from typing import Any, Protocol

from servicedesk.desk.office import Desk
from servicedesk.desk.told import About
from servicedesk.window.actions import Actions
from servicedesk.window.shell import Shell
from servicedesk.window.theme import Theme
from servicedesk.window.widgets import site_forms as forms
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.site_file_data import SiteSeen
from servicedesk.words import say


class Page(Protocol):
    """What the page needs of its place."""

    shell: Shell
    theme: Theme
    keys: Actions

    @property
    def desk(self) -> Desk: ...
    @property
    def forms(self) -> Forms: ...
    def log_call(self) -> None: ...


class SiteVerbs:
    """Part of the page of a file: opens the forms for the site that is shown."""

    _page: Page
    _seen: SiteSeen | None

    def edit(self) -> None:
        """The form with the site's own fields."""
        if self._seen is None:
            return
        file = self._seen.file
        self._page.forms.form(self._page.desk).open_form(
            say("Edit {address}", address=file.head.address),
            forms.edit_fields(self._seen.people),
            forms.edit_values(file),
            forms.WriteSite(self._page.desk, file.head.id),
            button=say("Write the site"),
            seen=file.head.revision,
            only_changed=True,
        )

    def choose_rule(self) -> None:
        """Under which service rule each system stands: its deadlines come from there."""
        if self._seen is None:
            return
        file = self._seen.file
        if not file.systems:
            return
        desk = self._page.desk
        self._page.forms.form(desk).open_form(
            say("Service rule at {address}", address=file.head.address),
            forms.rule_choices(desk, file),
            {str(system.id): system.rule_id for system in file.systems},
            forms.WriteRules(desk, file.head.id),
            button=say("Write the rule"),
            hint=say("Your own rules are written in Set up. Ask your permitting authority."),
            only_changed=True,
        )

    def tell(self) -> None:
        """Write that somebody here was told something; a day told is a promise."""
        if self._seen is None:
            return
        file = self._seen.file
        stop = next((v for v in file.planned if v.id == file.coming.next_visit_id), None)
        who = file.people_now[0].name if file.people_now else ""
        what = ""
        values: dict[str, Any] = {"whom": who, "how": "phone", "what": what}
        if stop is not None:
            what = say("We come: {when}", when=file.coming.next_text)
            values["what"], values["promised_on"] = what, stop.planned_on
            values["from_min"] = stop.promise_from_min
            values["until_min"] = stop.promise_until_min
        about = About(site_id=file.head.id, visit_id=stop.id if stop is not None else None)
        self._page.forms.form(self._page.desk).open_form(
            say("Told them at {address}", address=file.head.address),
            forms.told_fields(can_promise=stop is not None),
            values,
            forms.WriteTold(self._page.desk, about),
            button=say("Write what was told"),
            seen=stop.revision if stop is not None else None,
        )

    def owe(self) -> None:
        """Write that something is owed here; it then waits for a day."""
        if self._seen is None:
            return
        head = self._seen.file.head
        self._page.forms.form(self._page.desk).open_form(
            say("Owe something at {address}", address=head.address),
            forms.owed_fields(),
            {"debtor": "us", "waits_for": ""},
            forms.WriteOwed(self._page.desk, head.id),
            button=say("Write what is owed"),
        )
