"""Why a calculation says what it says: a code with its values, never a sentence.

`words.reasons` turns a reason into a sentence of the reader's language.
"""

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason: a `code` known to `words.reasons` and the values its sentence needs."""

    code: str
    values: tuple[tuple[str, Any], ...] = field(default=())

    @classmethod
    def of(cls, code: str, /, **values: Any) -> "Reason":
        """A reason with named values, kept in the order given."""
        return cls(code, tuple(values.items()))

    def __getitem__(self, name: str) -> Any:
        return dict(self.values)[name]
