"""The pages one has visited, to walk back and forward through."""

from dataclasses import dataclass

_MOST_KEPT = 100


@dataclass(frozen=True, slots=True)
class Visited:
    """One page: the place, what it showed, and where it was scrolled to when it was left."""

    place: str
    ids: tuple[object, ...] = ()
    position: object = None


class History:
    """A line of pages with a finger on the one that is shown."""

    def __init__(self) -> None:
        self._pages: list[Visited] = []
        self._at = -1

    @property
    def now(self) -> Visited | None:
        """The page shown, None before the first."""
        return self._pages[self._at] if self._at >= 0 else None

    @property
    def can_back(self) -> bool:
        """Whether there is a page before."""
        return self._at > 0

    @property
    def can_forward(self) -> bool:
        """Whether there is a page after."""
        return self._at + 1 < len(self._pages)

    def visit(self, page: Visited) -> None:
        """Go to a page; what lay ahead is forgotten. The same page twice counts once."""
        now = self.now
        if now is not None and (now.place, now.ids) == (page.place, page.ids):
            return
        self._pages[self._at + 1 :] = [page]
        del self._pages[:-_MOST_KEPT]
        self._at = len(self._pages) - 1

    def leave_at(self, position: object) -> None:
        """Remember where the page shown is scrolled to."""
        if self.now is not None:
            self._pages[self._at] = Visited(self.now.place, self.now.ids, position)

    def step(self, by: int) -> Visited | None:
        """One page back (-1) or forward (1); None if there is none."""
        at = self._at + by
        if not 0 <= at < len(self._pages):
            return None
        self._at = at
        return self._pages[at]
