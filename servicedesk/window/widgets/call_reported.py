"""What a caller reports, while it is being said: keys pressed, questions answered. Knows no Qt."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from servicedesk.trade.phone_dangers import dangers
from servicedesk.trade.symptoms import PhoneKey, phone_keys

LETTERS = "ABCDEF"


@dataclass
class Reported:
    """The keys that were pressed, in that order, and which answer each has (None: not asked)."""

    chosen: dict[int, int | None] = field(default_factory=dict)
    other: tuple[str, ...] = ()  # symptoms of a written call that no key of ours means
    skipped: set[int] = field(default_factory=set)  # keys whose question nobody wants to ask

    def press(self, number: int) -> bool:
        """Choose a key, or take it back; True if it is chosen now. KeyError for no such key."""
        key = key_of(number)
        if key.key in self.chosen:
            del self.chosen[key.key]
            self.skipped.discard(key.key)
            return False
        self.chosen[key.key] = None
        return True

    def answer(self, number: int, at: int) -> None:
        """Answer the question of a chosen key with its answer `at` (0 first)."""
        if number not in self.chosen or not 0 <= at < len(key_of(number).answers):
            raise KeyError((number, at))
        self.chosen[number] = at

    def reopen(self, number: int) -> None:
        """Ask the question of a chosen key again, before all others."""
        self.skipped.discard(number)
        del self.chosen[number]
        self.chosen[number] = None

    @property
    def asked(self) -> PhoneKey | None:
        """The key whose question stands open: the latest chosen that has one and no answer."""
        for number in reversed(self.chosen):
            key = key_of(number)
            is_left = self.chosen[number] is None and number not in self.skipped
            if key.question is not None and is_left:
                return key
        return None

    @property
    def symptoms(self) -> tuple[str, ...]:
        """Ids of the symptoms, each once: as answered, else what the key means most often."""
        found = [
            key_of(number).answers[at if at is not None else 0].symptom
            for number, at in self.chosen.items()
        ]
        return tuple(dict.fromkeys([*found, *self.other]))

    @property
    def answers(self) -> dict[str, str]:
        """The answers given, by the id of their key."""
        return {
            key_of(number).id: key_of(number).answers[at].text
            for number, at in self.chosen.items()
            if at is not None and key_of(number).question is not None
        }

    @classmethod
    def of(cls, symptoms: Iterable[str], answers: Mapping[str, object]) -> "Reported":
        """Back from a call: the keys that were pressed for these symptoms."""
        made = cls()
        left = list(dict.fromkeys(symptoms))
        for key in phone_keys():  # first what was answered: the same symptom stands on two keys
            texts = [one.text for one in key.answers]
            if key.question is not None and answers.get(key.id) in texts:
                at = texts.index(str(answers[key.id]))
                if key.answers[at].symptom in left:
                    made.chosen[key.key] = at
                    left.remove(key.answers[at].symptom)
        others = []
        for symptom in left:
            for key in phone_keys():
                if symptom in key.symptoms and key.key not in made.chosen:
                    at = key.symptoms.index(symptom)
                    made.chosen[key.key] = at or None
                    break
            else:
                others.append(symptom)
        made.other = tuple(others)
        return made


def key_of(number: int) -> PhoneKey:
    """The phone key with this number. Raises KeyError if there is none."""
    for key in phone_keys():
        if key.key == number:
            return key
    raise KeyError(number)


def other_answers(answers: Mapping[str, Any]) -> dict[str, Any]:
    """What stands in the answers of a call and is none of the phone's own questions."""
    ours = {key.id for key in phone_keys()} | {one.id for one in dangers()}
    return {name: value for name, value in answers.items() if name not in ours}
