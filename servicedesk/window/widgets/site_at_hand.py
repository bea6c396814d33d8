"""The rows of all sites once they were read, and a search through them that never waits.

The store's own search knows more (permits, earlier owners, numbers) and follows a moment later;
this one answers a key at once with what stands in the rows.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from servicedesk.desk.office import Desk
from servicedesk.desk.sites import SiteRow, site_ids, site_rows
from servicedesk.exchange.addresses import folded_text

_FIRST_ROWS = 40
PICKED = "picked"  # the filter for sites that another page picked
Question = tuple[str, str, bool]  # filter, sort, descending


class SitesAtHand:
    """Rows by id, and the order of each list that was asked for without a search."""

    def __init__(self) -> None:
        self.rows: dict[object, SiteRow] = {}
        self._texts: dict[object, str] = {}
        self._lists: dict[Question, tuple[int, ...]] = {}

    def put(self, rows: Iterable[SiteRow]) -> None:
        """Rows that were read."""
        for row in rows:
            self.rows[row.id] = row
            digits = "".join(sign for sign in row.phone if sign.isdigit())
            said = (
                row.address, row.locality, row.owner, row.phone, digits, str(row.number), row.kind
            )  # fmt: skip
            self._texts[row.id] = " " + " ".join(folded_text(text) for text in said)

    def keep_only(self, ids: Iterable[int]) -> None:
        """Sites that are not there any more go."""
        for gone in set(self.rows) - set(ids):
            del self.rows[gone], self._texts[gone]

    def put_list(self, question: Question, ids: Sequence[int]) -> None:
        """The ids of a list without a search, in order."""
        self._lists[question] = tuple(ids)

    def forget_lists(self) -> None:
        """Something changed: who passes a filter has to be asked anew."""
        self._lists.clear()

    def search(self, question: Question, text: str) -> tuple[int, ...] | None:
        """Sites of a list in which words begin with all words of `text`; None if not at hand."""
        ids = self._lists.get(question)
        if ids is None or any(i not in self._texts for i in ids):
            return None
        words = [f" {word}" for word in folded_text(text).split()]
        texts: Mapping[object, str] = self._texts
        return tuple(i for i in ids if all(word in texts[i] for word in words))


@dataclass(frozen=True, slots=True)
class Answer:
    """Sites that were asked for, with the rows seen first."""

    ids: tuple[int, ...]
    rows: tuple[SiteRow, ...]


def read_list(
    desk: Desk,
    text: str,
    name: str,
    sort: str | None,
    descending: bool,
    known: frozenset[object],
    picked: frozenset[int] = frozenset(),
) -> Answer:
    """On the worker: the ids in order, and the first rows that are not at hand (`known`) yet.

    `picked`: the sites that the filter of that name lets through.
    """
    among = picked if name == PICKED else None
    wanted = "all" if name == PICKED else name
    ids = site_ids(desk, text=text, filter=wanted, sort=sort, descending=descending, among=among)
    first = [i for i in ids[:_FIRST_ROWS] if i not in known]
    return Answer(tuple(ids), tuple(site_rows(desk, first)) if first else ())
