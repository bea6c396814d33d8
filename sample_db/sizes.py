"""The sizes in which the invented county is made."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Size:
    """How much is made. `half_km` are the half axes of the island."""

    name: str
    sites: int
    years: int
    technicians: int
    villages: int
    half_km: tuple[float, float]
    apart_km: float
    detail_years: float  # so far back each inspection item and reading was kept; before: papers
    round_weeks: int  # of every three weeks so many go to inspections, the others to other work


SIZES = {
    s.name: s
    for s in (
        Size("sixty", 60, 3, 3, 7, (20.0, 15.0), 4.0, 0.5, 1),
        Size("small", 420, 6, 3, 9, (20.0, 15.0), 4.0, 1.5, 1),
        Size("county", 3000, 10, 14, 26, (42.0, 30.0), 6.0, 1.2, 2),
        Size("growth", 10000, 4, 45, 60, (70.0, 50.0), 6.0, 1.0, 2),
    )
}
