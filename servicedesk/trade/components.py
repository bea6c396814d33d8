"""The parts of a treatment train by kind, and what equipment a site may have."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from servicedesk.trade.knowledge import entries_of, shipped_yaml


@dataclass(frozen=True, slots=True)
class Named:
    """An id with the name that people read."""

    id: str
    name: str


@cache
def components() -> Mapping[str, Named]:
    """Kinds of component by id, from house to field as the file has them."""
    return named_list("components.yaml")


@cache
def equipment() -> Mapping[str, Named]:
    """What a site may have (spray heads, tablet chlorinator, timer ...) by id.

    A cause or check that needs one of them is left out where the site lacks it.
    """
    return named_list("equipment.yaml")


def named_list(name: str) -> Mapping[str, Named]:
    """The ids and names of the file ``faults/name``; a fault where an id stands twice."""
    found: dict[str, Named] = {}
    for entry in entries_of(shipped_yaml("faults", name), file=f"faults/{name}"):
        entry.known_only("id", "name")
        one = Named(entry.text("id"), entry.text("name"))
        if one.id in found:
            raise entry.fault("id", "twice", value=one.id)
        found[one.id] = one
    return found
