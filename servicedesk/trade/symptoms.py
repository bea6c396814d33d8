"""What callers report: 24 symptoms, and the ten number keys that lead to them on the phone."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from servicedesk.trade.knowledge import Entry, entries_of, shipped_yaml

_FILE = "faults/symptoms.yaml"
_KEYS = "faults/phone_keys.yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Symptom:
    """One symptom. `caller_says`: words people use for it; `urgency` in words.

    `restates`: ids of checks that only repeat it; `before_no_fault_found`: ids of checks owed
    before a visit may end as "no fault found".
    """

    id: str
    name: str
    caller_says: tuple[str, ...]
    urgency: str
    note: str | None
    restates: tuple[str, ...]
    before_no_fault_found: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class KeyAnswer:
    """One answer to the first question of a key, and the symptom it means."""

    text: str
    symptom: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneKey:
    """One number key of the call form: `key` 0..9, `icon` by name, the first question.

    `question` is None where the key means one symptom. The first of `answers` is taken until
    somebody asks.
    """

    key: int
    id: str
    name: str
    icon: str
    question: str | None
    answers: tuple[KeyAnswer, ...]

    @property
    def symptoms(self) -> tuple[str, ...]:
        """Ids of the symptoms it may mean, likeliest first."""
        return tuple(answer.symptom for answer in self.answers)


@cache
def symptoms() -> Mapping[str, Symptom]:
    """All symptoms by id, in the order of the file."""
    found: dict[str, Symptom] = {}
    for entry in entries_of(shipped_yaml("faults", "symptoms.yaml"), file=_FILE):
        entry.known_only(
            "id", "name", "caller_says", "urgency", "note", "restates", "before_no_fault_found"
        )
        one = Symptom(
            id=entry.text("id"),
            name=entry.text("name"),
            caller_says=entry.texts("caller_says"),
            urgency=entry.text("urgency"),
            note=entry.maybe_text("note"),
            restates=entry.texts("restates"),
            before_no_fault_found=entry.texts("before_no_fault_found"),
        )
        if one.id in found:
            raise entry.fault("id", "twice", value=one.id)
        found[one.id] = one
    return found


@cache
def phone_keys() -> tuple[PhoneKey, ...]:
    """The ten keys in the order of the form: 1 to 9, then 0."""
    keys = tuple(
        _phone_key(e) for e in entries_of(shipped_yaml("faults", "phone_keys.yaml"), file=_KEYS)
    )
    without = set(symptoms()) - {symptom for key in keys for symptom in key.symptoms}
    if without or [key.key for key in keys] != [1, 2, 3, 4, 5, 6, 7, 8, 9, 0]:
        raise Entry(_KEYS, "", {}).fault("key", "keys_incomplete", without=tuple(sorted(without)))
    return keys


def symptom_name(symptom_id: str) -> str:
    """The name of a symptom; what was written, where it is none of ours (an old own word)."""
    known = symptoms().get(symptom_id)
    return symptom_id if known is None else known.name


def _phone_key(entry: Entry) -> PhoneKey:
    entry.known_only("key", "id", "name", "icon", "question", "answers")
    answers = tuple(_answer(one) for one in entry.entries("answers"))
    if not answers or (len(answers) > 1) != entry.has("question"):
        raise entry.fault("question", "question_and_answers_disagree", n=len(answers))
    return PhoneKey(
        key=entry.whole("key", most=9),
        id=entry.text("id"),
        name=entry.text("name"),
        icon=entry.text("icon"),
        question=entry.maybe_text("question"),
        answers=answers,
    )


def _answer(entry: Entry) -> KeyAnswer:
    entry.known_only("text", "symptom")
    return KeyAnswer(entry.text("text"), entry.one_of("symptom", tuple(symptoms())))
