"""What the frame shows, read in one go on the store's worker."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from servicedesk.window.office import ChangeSeen, Company, Office


@dataclass(frozen=True, slots=True)
class FrameSeen:
    """`company` is None while the store is empty; then `ways` says how one may begin."""

    company: Company | None
    counts: Mapping[str, int]
    last: ChangeSeen | None
    ways: Sequence[str]


def read_frame(office: Office) -> FrameSeen:
    """Company, counts and the latest change as they are now."""
    company = office.company()
    if company is None:
        return FrameSeen(None, {}, None, office.ways_to_begin())
    return FrameSeen(company, office.counts(), office.last_change(), ())
