"""The forms of Knowledge: asked for own entries and files. Read when one is first opened."""

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from servicedesk.desk import own_form
from servicedesk.desk.knowledge_lists import KINDS_OF_RECORD, KnowledgeSeen
from servicedesk.desk.office import Desk
from servicedesk.trade.own_shapes import likelihood_words
from servicedesk.window.shell import Shell
from servicedesk.window.widgets import knowledge_forms as forms
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.window.places.knowledge import KnowledgePlace

Values = dict[str, Any]


class KnowledgeAsks:
    """The forms of one `KnowledgePlace`."""

    def __init__(self, place: "KnowledgePlace", shell: Shell) -> None:
        self._place = place
        self.forms = Forms(shell, place)

    def open_form(self, name: str) -> None:
        """Open a form by the id of its act. Raises KeyError for another."""
        {
            "new_cause": self.new_cause,
            "new_check": self.new_check,
            "new_part": self.new_part,
            "copy": self.copy,
            "often": self.how_often,
            "change": self.change,
            "write_file": self.write_file,
            "read_file": self.read_file,
        }[name]()

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
        hint = say(
            "The check must tell it from every other cause behind the same call. The cautions of "
            "that part of the system are taken over."
        )
        write = partial(own_form.write_cause, copied=copied)
        self._form(title, forms.cause_fields(seen.known, is_new=True), values, write, hint=hint)

    def new_check(self) -> None:
        """A check of ours."""
        seen = self._place.seen
        if seen is not None:
            values = {"where": "tank", "minutes": 5}
            self._form(say("New check of ours"), forms.check_fields(seen.known), values,
                       own_form.write_check)  # fmt: skip

    def new_part(self) -> None:
        """A kind of part of ours."""
        self._form(say("New kind of part"), forms.part_fields(), {}, own_form.write_part)

    def how_often(self) -> None:
        """The company's own number for a cause behind a symptom."""
        seen, pair = self._place.seen, self._place.verbs.pair()
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
        row = self._place.verbs.row()
        if row is None:
            return
        fields: Mapping[str, tuple[FieldSpec, ...]] = {
            "cause": forms.cause_fields(seen.known, is_new=False),
            "check": forms.check_fields(seen.known),
            "part_kind": forms.part_fields(),
            "component": forms.component_fields(),
            "weight": forms.changed_weight_fields(),
        }
        self.forms.form(self._place.desk).open_form(
            say("Change an entry of ours"),
            fields[row.kind_of],
            {"how_likely": next(iter(likelihood_words())), **values},
            partial(_change, self._place.desk, row.id),
            button=say("Write it"),
            seen=row.revision,
            only_changed=True,
        )

    def write_file(self) -> None:
        """The entry that is shown if it is ours, else all of ours."""
        row = self._place.verbs.row()
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
        self.forms.form(desk).open_form(
            title, fields, values, partial(_write, desk, write), button=say("Write it"),
            hint=hint, focus=focus,
        )  # fmt: skip

    def _with_values(self, then: Callable[[KnowledgeSeen, str, str, Values], None]) -> None:
        """What the store has of the shown entry, then its form."""
        seen, shown, row = self._place.seen, self._place.shown, self._place.verbs.row()
        if seen is None or shown is None:
            return
        kind, entry_id = shown
        record = KINDS_OF_RECORD.get(kind, kind)
        if row is not None:
            record, entry_id = row.kind_of, row.entry_id
        values = own_form.values_from(seen.known, row, record, entry_id)
        then(seen, kind, entry_id, values)


def _write(
    desk: Desk, write: Callable[[Desk, Values], object], values: Values, _seen: int | None
) -> object:
    """On the worker: what a form brought."""
    return write(desk, values)


def _change(desk: Desk, own_id: int, values: Values, seen: int | None) -> object:
    """On the worker: an own entry written anew."""
    return own_form.change_entry(desk, own_id, values, seen=seen)
