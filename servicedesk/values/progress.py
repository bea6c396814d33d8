"""How long work tells what it has done, and learns that it should stop."""

from typing import Protocol


class Progress(Protocol):
    """Called now and then by long work. Raises `values.trouble.Stopped` if it was cancelled."""

    def __call__(self, done: int, total: int, note: str = "") -> None:
        """`done` of `total` steps are finished; `note` says in words what is being done."""


def quiet(done: int, total: int, note: str = "") -> None:
    """Progress that nobody watches."""
