"""What can be done in Knowledge: own entries added, copied, changed, ended; files; forgetting."""

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from servicedesk.desk import own_form
from servicedesk.desk.knowledge import OwnRow
from servicedesk.desk.knowledge_lists import KINDS_OF_RECORD, KnowledgeSeen
from servicedesk.desk.learned import forget_learned
from servicedesk.desk.office import Desk
from servicedesk.trade.own_shapes import likelihood_words
from servicedesk.window.actions import Act
from servicedesk.window.shell import Shell
from servicedesk.window.widgets import knowledge_forms as forms
from servicedesk.window.widgets.knowledge_list import LISTS, list_names
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.window.places.knowledge import KnowledgePlace

Values = dict[str, Any]


class KnowledgeVerbs:
    """The verbs of one `KnowledgePlace`."""

    def __init__(self, place: "KnowledgePlace", shell: Shell) -> None:
        self._place, self._shell = place, shell
        self._forms = Forms(shell, place)

    def acts(self) -> tuple[Act, ...]:
        """For the keys, the buttons and the find box."""
        group = say("Knowledge")

        def act(act_id: str, text: str, key: str, do: Callable[[], object], icon: str = "",
                when: Callable[[], str | None] | None = None) -> Act:  # fmt: skip
            return Act(id=act_id, text=text, shortcut=key, do=do, group=group, icon=icon, when=when)

        shown = tuple(
            act(f"list_{kind}", words, str(n), partial(self._show_list, kind))
            for n, (kind, words) in enumerate(list_names().items(), start=1)
        )
        find = act("find_here", say("Find in this list"), "F", self._place.find_here)
        made = (
            act("new_cause", say("New cause of ours…"), "N", self.new_cause, "plus", self._unread),
            act("new_check", say("New check of ours…"), "K", self.new_check, "plus", self._unread),
            act("new_part", say("New kind of part…"), "P", self.new_part, "plus", self._unread),
            act("copy", say("Copy as ours…"), "C", self.copy, "note", self._why_no_copy),
            act("often", say("How often here…"), "O", self.how_often, "", self._why_not_often),
            act("change", say("Change the entry…"), "E", self.change, "", self._why_not_ours),
            act("end", say("End the entry"), "D", self.end, "", self._why_not_ours),
            act("write_file", say("Own entries to a file…"), "W", self.write_file, "out",
                self._why_no_file),
            act("read_file", say("Own entries from a file…"), "R", self.read_file, "in",
                self._unread),
            act("forget", say("Forget what was learned"), "L", self.forget, "",
                self._why_not_forget),
        )  # fmt: skip
        return (*shown, find, *made)

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

    # the verbs

    def new_cause(self) -> None:
        """A cause of ours, behind the symptom that is shown if one is."""
        kind, entry_id = self._place.shown or ("", "")
        values: Values = {
            "symptom": entry_id if kind == "symptom" else None,
            "per_100": 5,
            "how_likely": next(iter(likelihood_words())),
        }
        self._ask_cause(say("New cause of ours"), values, copied="")

    def copy(self) -> None:
        """What is shown as the beginning of an entry of ours."""
        self._with_values(self._copy_form)

    def _copy_form(self, seen: KnowledgeSeen, kind: str, entry_id: str, values: Values) -> None:
        values["name"] = say("{name}, ours", name=values["name"])
        values["note"] = ""
        if kind == "check":
            self._form(say("Copy of a check"), forms.check_fields(seen.known), values,
                       own_form.write_check)  # fmt: skip
            return
        behind = (s for s, one in seen.known.causes_of.items() if entry_id in one.weights)
        values |= {"symptom": next(behind, None), "per_100": 5, "shown_by": ""}
        values["how_likely"] = next(iter(likelihood_words()))
        self._ask_cause(say("Copy of a cause"), values, copied=entry_id)

    def _ask_cause(self, title: str, values: Values, *, copied: str) -> None:
        seen = self._place.seen
        if seen is None:
            return
        hint = say("The check must tell it from every other cause behind the same call.")
        write = partial(own_form.write_cause, copied=copied)
        self._form(title, forms.cause_fields(seen.known, is_new=True), values, write, hint=hint)

    def new_check(self) -> None:
        """A check of ours."""
        seen = self._place.seen
        if seen is not None:
            first = next(iter(seen.known.checks))
            values = {"where": "tank", "minutes": 5, "like": first}
            self._form(say("New check of ours"), forms.check_fields(seen.known), values,
                       own_form.write_check)  # fmt: skip

    def new_part(self) -> None:
        """A kind of part of ours."""
        self._form(say("New kind of part"), forms.part_fields(), {}, own_form.write_part)

    def how_often(self) -> None:
        """The company's own number for a cause behind a symptom."""
        seen, pair = self._place.seen, self._pair()
        if seen is None or pair is None:
            return
        symptom, cause = pair
        values: Values = {"symptom": symptom, "cause": cause, "per_100": None}
        hint = say("Of 100 such calls here, in how many is it the cause, before anybody looked?")
        fields = forms.weight_fields(seen.known)
        self._form(say("How often here"), fields, values, own_form.write_weight,
                   hint=hint, focus="per_100")  # fmt: skip

    def change(self) -> None:
        """The own entry that is shown."""
        self._with_values(self._change_form)

    def _change_form(self, seen: KnowledgeSeen, _kind: str, _entry_id: str, values: Values) -> None:
        row = self._row()
        if row is None:
            return
        fields: Mapping[str, tuple[FieldSpec, ...]] = {
            "cause": forms.cause_fields(seen.known, is_new=False),
            "check": forms.check_fields(seen.known),
            "part_kind": forms.part_fields(),
            "component": forms.component_fields(),
            "weight": forms.changed_weight_fields(),
        }
        self._forms.form(self._place.desk).open_form(
            say("Change an entry of ours"),
            fields[row.kind_of],
            {"how_likely": next(iter(likelihood_words())), **values},
            partial(_change, self._place.desk, row.id),
            button=say("Write it"),
            seen=row.revision,
            only_changed=True,
        )

    def end(self) -> None:
        """The own entry that is shown holds no longer; what was found under it stays."""
        row = self._row()
        if row is not None:
            self._shell.change(own_form.end_entry, self._place.desk, row.id)

    def write_file(self) -> None:
        """The entry that is shown if it is ours, else all of ours."""
        row = self._row()
        title = say("All own entries to a file") if row is None else say("This entry to a file")
        write = forms.write_file(None if row is None else [row.id])
        values = {"file": str(Path.home() / forms.FILE_NAME)}
        hint = say("YAML, to be changed in any editor and read back.")
        self._form(title, forms.file_fields(""), values, write, hint=hint)

    def read_file(self) -> None:
        """A file of own entries."""
        hint = say(
            "Entries that are there are changed, others are added, all in one change. Where one "
            "cannot be meant, nothing is written."
        )
        values = {"file": str(Path.home() / forms.FILE_NAME)}
        fields = forms.file_fields("")
        self._form(say("Own entries from a file"), fields, values, forms.read_file, hint=hint)

    def forget(self) -> None:
        """Visits up to now teach nothing any more."""
        self._shell.change(forget_learned, self._place.desk)

    # what they share

    def _form(
        self,
        title: str,
        fields: tuple[FieldSpec, ...],
        values: Mapping[str, Any],
        write: Callable[..., object],
        *,
        hint: str = "",
        focus: str = "",
    ) -> None:
        desk = self._place.desk
        self._forms.form(desk).open_form(
            title, fields, values, partial(_write, desk, write), button=say("Write it"),
            hint=hint, focus=focus,
        )  # fmt: skip

    def _with_values(self, then: Callable[[KnowledgeSeen, str, str, Values], None]) -> None:
        """What the store has of the shown entry, then its form."""
        seen, shown, row = self._place.seen, self._place.shown, self._row()
        if seen is None or shown is None:
            return
        kind, entry_id = shown
        record = KINDS_OF_RECORD.get(kind, kind)
        if row is not None:
            record, entry_id = row.kind_of, row.entry_id
        values = own_form.values_from(seen.known, row, record, entry_id)
        then(seen, kind, entry_id, values)

    def _show_list(self, kind: str) -> None:
        if kind in LISTS:
            self._place.list.pills[kind].click()
            self._place.list.rows.setFocus()

    def _row(self) -> OwnRow | None:
        seen, shown = self._place.seen, self._place.shown
        return None if seen is None or shown is None else seen.own_row(*shown)

    def _pair(self) -> tuple[str | None, str | None] | None:
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
        return None if self._pair() is not None else say("Choose a symptom or a cause first.")

    def _why_not_ours(self) -> str | None:
        row = self._row()
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


def _write(
    desk: Desk, write: Callable[[Desk, Values], object], values: Values, _seen: int | None
) -> object:
    """On the worker: what a form brought."""
    return write(desk, values)


def _change(desk: Desk, own_id: int, values: Values, seen: int | None) -> object:
    """On the worker: an own entry written anew."""
    return own_form.change_entry(desk, own_id, values, seen=seen)
