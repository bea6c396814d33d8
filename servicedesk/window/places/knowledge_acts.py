"""What can be done in Knowledge: own entries added, copied, changed, ended; files; forgetting."""

from collections.abc import Mapping
from functools import cached_property, partial
from typing import TYPE_CHECKING

from servicedesk.desk import own_form
from servicedesk.desk.knowledge import OwnRow
from servicedesk.desk.learned import forget_learned
from servicedesk.window.actions import Act
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.knowledge_list import LISTS, list_names
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.window.places.knowledge import KnowledgePlace
    from servicedesk.window.places.knowledge_asks import KnowledgeAsks


class KnowledgeVerbs:
    """The verbs of one `KnowledgePlace`."""

    def __init__(self, place: "KnowledgePlace", shell: Shell) -> None:
        self._place, self._shell = place, shell

    @cached_property
    def asks(self) -> "KnowledgeAsks":
        """The forms, read when one is first opened: the page stands sooner."""
        from servicedesk.window.places.knowledge_asks import KnowledgeAsks

        return KnowledgeAsks(self._place, self._shell)

    def acts(self) -> tuple[Act, ...]:
        """For the keys, the buttons and the find box."""
        group = say("Knowledge")
        shown = (
            Act(id=f"list_{kind}", text=words, shortcut=str(n), group=group,
                do=partial(self._show_list, kind))
            for n, (kind, words) in enumerate(list_names().items(), start=1)
        )  # fmt: skip
        asked = (
            Act(id=name, text=words, shortcut=key, icon=icon, group=group, when=when,
                do=partial(self._ask, name))
            for name, words, key, icon, when in (
                ("new_cause", say("New cause of ours…"), "N", "plus", self._unread),
                ("new_check", say("New check of ours…"), "K", "plus", self._unread),
                ("new_part", say("New kind of part…"), "P", "plus", self._unread),
                ("copy", say("Copy as ours…"), "C", "note", self._why_no_copy),
                ("often", say("How often here…"), "O", "note", self._why_not_often),
                ("change", say("Change the entry…"), "E", "note", self._why_not_ours),
                ("write_file", say("Own entries to a file…"), "W", "out", self._why_no_file),
                ("read_file", say("Own entries from a file…"), "R", "in", self._unread),
            )
        )  # fmt: skip
        return (
            *shown,
            Act(id="find_here", text=say("Find in this list"), shortcut="F", group=group,
                do=self._place.find_here),
            *asked,
            Act(id="end", text=say("End the entry"), shortcut="D", icon="cross", group=group,
                do=self.end, when=self._why_not_ours),
            Act(id="forget", text=say("Forget what was learned"), shortcut="L", icon="cross",
                group=group, do=self.forget, when=self._why_not_forget),
        )  # fmt: skip

    def buttons(self) -> Mapping[str, tuple[str, str, str]]:
        """Words, key and icon of the button of an act."""
        return {
            "new_cause": (say("New cause…"), "N", "plus"),
            "new_check": (say("New check…"), "K", ""),
            "new_part": (say("New part…"), "P", ""),
            "copy": (say("Copy as ours…"), "C", ""),
            "often": (say("How often here…"), "O", ""),
            "change": (say("Change…"), "E", ""),
            "end": (say("End"), "D", ""),
            "write_file": (say("To a file…"), "W", "out"),
            "read_file": (say("From a file…"), "R", "in"),
            "forget": (say("Forget what was learned"), "L", ""),
        }

    def _ask(self, form: str) -> None:
        """Open one of the forms."""
        self.asks.open_form(form)

    def end(self) -> None:
        """The own entry that is shown holds no longer; what was found under it stays."""
        row = self.row()
        if row is not None:
            self._shell.change(own_form.end_entry, self._place.desk, row.id)

    def forget(self) -> None:
        """Visits up to now teach nothing any more."""
        self._shell.change(forget_learned, self._place.desk)

    def _show_list(self, kind: str) -> None:
        if kind in LISTS:
            self._place.list.pills[kind].click()
            self._place.list.rows.setFocus()

    def row(self) -> OwnRow | None:
        seen, shown = self._place.seen, self._place.shown
        return None if seen is None or shown is None else seen.own_row(*shown)

    def pair(self) -> tuple[str | None, str | None] | None:
        """Symptom and cause that are meant: of the page, and of the line the keys are on."""
        kind, entry_id = self._place.shown or ("", "")
        line = self._place.page.chosen_line
        to = line.to if line is not None and line.to is not None else ("", "")
        if kind == "symptom":
            return entry_id, to[1] if to[0] == "cause" else None
        if kind == "cause":
            return to[1] if to[0] == "symptom" else self._first_symptom(entry_id), entry_id
        return None

    def _first_symptom(self, cause: str) -> str | None:
        seen = self._place.seen
        found = seen.known.causes_of.items() if seen is not None else ()
        return next((symptom for symptom, one in found if cause in one.weights), None)

    def _unread(self) -> str | None:
        return None if self._place.seen is not None else say("The knowledge is being read.")

    def _why_no_copy(self) -> str | None:
        kind = self._place.shown[0] if self._place.shown else ""
        return None if kind in ("cause", "check") else say("Choose a cause or a check first.")

    def _why_not_often(self) -> str | None:
        return None if self.pair() is not None else say("Choose a symptom or a cause first.")

    def _why_not_ours(self) -> str | None:
        row = self.row()
        if row is None or row.ended_on is not None:
            return say("That is no entry of ours; copy it as ours, or add one.")
        return None

    def _why_no_file(self) -> str | None:
        seen = self._place.seen
        has_own = seen is not None and any(row.ended_on is None for row in seen.own)
        return None if has_own else say("There are no own entries yet.")

    def _why_not_forget(self) -> str | None:
        seen = self._place.seen
        has_learned = seen is not None and seen.is_counted and bool(seen.learned.causes)
        return None if has_learned else say("Nothing was learned yet.")
