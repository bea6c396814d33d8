"""Road minutes between places."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TravelTimes:
    """``minutes[i][j]``: whole minutes from place i to place j; not necessarily symmetric.

    `source` says where they come from: "straight lines" (great circle with detour and speed),
    "roads" (a road file), "given" (a matrix in a file). `estimated`: places no road leads to;
    their times come from straight lines, whatever the source of the rest. Rows are sequences of
    any kind (see `travel.packed`).
    """

    minutes: tuple[Sequence[int], ...]
    metres: tuple[Sequence[int], ...] | None = None
    source: str = "given"
    estimated: frozenset[int] = frozenset()

    def __post_init__(self) -> None:
        n = len(self.minutes)
        for i, row in enumerate(self.minutes):
            if len(row) != n:
                raise ValueError(f"row {i} has {len(row)} entries, not {n}")
            if min(row, default=0) < 0:
                raise ValueError(f"row {i} has a negative travel time")

    @classmethod
    def of(cls, minutes: Sequence[Sequence[int]], source: str = "given") -> "TravelTimes":
        """From any nested sequence of whole minutes."""
        return cls(tuple(tuple(row) for row in minutes), source=source)

    def __len__(self) -> int:
        return len(self.minutes)
