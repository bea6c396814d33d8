"""Who a part of a pick list is for: the visit that asks for it most, or the inspections."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from servicedesk.stock.needs import Need

Kind = Literal["owed", "callback", "inspection"]
NAMED_FROM = 0.03  # a callback less likely to take it is not what it is put on for


@dataclass(frozen=True, slots=True, kw_only=True)
class Whom:
    """`address`: the visit that asks for it most; "" of inspections: so many of `n` take one."""

    kind: Kind
    address: str
    chance: float
    n: int


def whom_of(needs: Iterable[Need], addresses: Mapping[str, str]) -> dict[str, Whom]:
    """By part: owed work before callbacks, these before what inspections usually take."""
    named: dict[str, tuple[tuple[bool, float], Need]] = {}
    usual: dict[str, list[float]] = {}
    for need in needs:
        for part in need.parts:
            chance = sum(p for p, bundle in need.ways if part in dict(bundle))
            if need.is_usual:
                usual.setdefault(part, []).append(chance)
            elif need.cases == 0 or chance >= NAMED_FROM:
                rank = (need.cases == 0, chance)
                if part not in named or rank > named[part][0]:
                    named[part] = (rank, need)
    found = {
        part: Whom(kind="inspection", address="", chance=sum(some), n=len(some))
        for part, some in usual.items()
    }
    for part, (rank, need) in named.items():
        if rank[0] or rank[1] >= found.get(part, _NOBODY).chance / 2:
            kind: Kind = "owed" if rank[0] else "callback"
            address = addresses.get(need.visit, "")
            found[part] = Whom(kind=kind, address=address, chance=rank[1], n=1)
    return found


_NOBODY = Whom(kind="inspection", address="", chance=0.0, n=0)
