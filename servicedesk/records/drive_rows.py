"""Drives as they were made: from one stop of a round to the next."""

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from servicedesk.records.sites import Site
from servicedesk.records.visits import Visit


@dataclass(frozen=True, slots=True)
class DriveRow:
    """Where it began and ended, in degrees, and the minutes written down."""

    from_lat_deg: float
    from_lon_deg: float
    to_lat_deg: float
    to_lon_deg: float
    minutes: int


def latest_drives(session: Session, most: int) -> tuple[DriveRow, ...]:
    """The latest drives between two visited sites that have a position of their own."""
    before, came_from, went_to = aliased(Visit), aliased(Site), aliased(Site)
    query = (
        select(
            came_from.lat_deg, came_from.lon_deg, went_to.lat_deg, went_to.lon_deg, Visit.travel_min
        )
        .join(before, (before.round_id == Visit.round_id) & (before.place == Visit.place - 1))
        .join(came_from, came_from.id == before.site_id)
        .join(went_to, went_to.id == Visit.site_id)
        .where(
            Visit.travel_min.is_not(None),
            Visit.state == "done",
            before.state == "done",
            came_from.lat_deg.is_not(None),
            came_from.lon_deg.is_not(None),
            went_to.lat_deg.is_not(None),
            went_to.lon_deg.is_not(None),
            func.coalesce(came_from.position_source, "") != "guessed",
            func.coalesce(went_to.position_source, "") != "guessed",
        )
        .order_by(Visit.planned_on.desc(), Visit.id.desc())
        .limit(most)
    )
    return tuple(
        DriveRow(*row)  # type: ignore[arg-type]  # none is null: see above
        for row in session.execute(query)
    )
