"""Unpaid bills over the company's limit put a site on hold, and take it off again once paid."""

from collections.abc import Iterable, Mapping
from datetime import date

from servicedesk.records import bill_rows as rows
from servicedesk.records.sites import Site
from servicedesk.records.work import Work


def renew_hold(
    work: Work, site_ids: Iterable[int], today: date, *, before: Mapping[int, int]
) -> None:
    """Inside a change, after its bills: set or clear *on hold* where the limit was crossed.

    `before`: what was unpaid at each site when the change began (`rows.unpaid_by_site`). A hold
    set by hand for another reason is left alone: only a crossing of the limit changes anything.
    Without a limit nothing happens.
    """
    limit = rows.unpaid_limit(work.session)
    if limit is None:
        return
    wanted = sorted(set(site_ids))
    work.session.flush()
    now = rows.unpaid_by_site(work.session, wanted, today)
    for site_id in wanted:
        is_over, was_over = now.get(site_id, 0) > limit, before.get(site_id, 0) > limit
        if is_over != was_over:
            work.get(Site, site_id).on_hold = is_over


def hold_by_new_limit(work: Work, today: date, *, before: int | None, now: int | None) -> None:
    """Inside a change of the limit itself: the same, where what is unpaid lies between the two."""
    unpaid = rows.unpaid_by_site(work.session, rows.sites_with_bills(work.session), today)
    for site_id, minor in unpaid.items():
        is_over = now is not None and minor > now
        if is_over != (before is not None and minor > before):
            work.get(Site, site_id).on_hold = is_over
