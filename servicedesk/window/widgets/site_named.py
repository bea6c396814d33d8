"""The one site that a person means by what was typed."""

from servicedesk.desk.checking import Wrong, WrongEntry
from servicedesk.desk.office import Desk
from servicedesk.desk.sites import site_ids, site_rows
from servicedesk.words import say


def site_found(desk: Desk, text: str) -> int:
    """The one site that is meant. Raises WrongEntry where it is none or not clear which."""
    if not text.strip():
        raise WrongEntry([Wrong("site", say("Write at which site."))])
    ids = site_ids(desk, text=text)
    rows = site_rows(desk, ids[:5])
    exact = [row for row in rows if row.address.casefold() == text.strip().casefold()]
    if len(exact) == 1 or len(ids) == 1:
        return (exact or rows)[0].id
    if not ids:
        raise WrongEntry([Wrong("site", say("No site is found by “{text}”.", text=text.strip()))])
    names = " · ".join(row.address for row in rows)
    says = say("Several sites are found: {names}. Write more of one.", names=names)
    raise WrongEntry([Wrong("site", says, None if exact else rows[0].address)])
