"""Service rules that the company wrote itself: they stand with the authority they are of."""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.people import Authority
from servicedesk.records.sites import System


def own_rules(session: Session) -> list[tuple[str, list[Any]]]:
    """Name and own rules of every authority that has some, by its key."""
    query = select(Authority.name, Authority.own_rules).order_by(Authority.id)
    return [(name, list(rules)) for name, rules in session.execute(query) if rules]


def authorities(session: Session) -> list[Authority]:
    """Every authority, to be changed inside a piece of work."""
    return list(session.scalars(select(Authority).order_by(Authority.id)))


def systems_under(session: Session, rule_ids: Iterable[str]) -> dict[str, int]:
    """How many systems stand under each of these rules; none where no system does."""
    query = (
        select(System.rule_id, func.count())
        .where(System.rule_id.in_(sorted(rule_ids)))
        .group_by(System.rule_id)
    )
    return {rule_id: int(n) for rule_id, n in session.execute(query) if rule_id is not None}


def systems_of(session: Session, site_id: int) -> list[System]:
    """Systems that stand at a site, to be changed inside a piece of work."""
    query = select(System).where(System.site_id == site_id, System.ended_on.is_(None))
    return list(session.scalars(query.order_by(System.id)))
