"""What is done once a call is written: the promise set by hand, and the place that was chosen."""

from datetime import datetime

from servicedesk.desk.office import Desk
from servicedesk.desk.phone_page import beside_the_call
from servicedesk.desk.soonest import SoonestPlace, SoonestPlaces, soonest_places


class After:
    """What is to be done once the call is written."""

    def __init__(self, promised: datetime | None, place: SoonestPlace | None) -> None:
        self.promised, self.place = promised, place


def soonest_for(
    desk: Desk,
    site_id: int,
    by_at: datetime | None,
    called_at: datetime | None,
    call_id: int | None,
) -> SoonestPlaces:
    """The places, by the promise of the rules where none was given."""
    by_at = by_at or beside_the_call(desk, site_id, called_at=called_at).promised_by_at
    return soonest_places(desk, site_id, by_at=by_at, call_id=call_id)
