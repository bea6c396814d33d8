"""`servicedesk another-day`: a customer's wish, other places, one taken, from the shell."""

import argparse
from collections.abc import Callable
from typing import Any

from servicedesk.desk.another_day import OtherPlaces, Wish, other_places, take_other
from servicedesk.desk.carry import placed_at, stop_asked
from servicedesk.desk.day_wishes import DayWishes
from servicedesk.desk.office import Desk
from servicedesk.desk.second_opinion import site_named
from servicedesk.desk.verb_options import Tell, desk_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

DONE, LOOK = 0, 1


def another_day_from_shell(
    chosen: argparse.Namespace, *, tell: Tell, print_json: Callable[[Any], None]
) -> int:
    """The places in lines or as JSON, or one taken; exit code 1 where there is none."""
    desk = desk_of(chosen)
    site_id = site_named(desk, chosen.site)
    stop = placed_at(desk, site_id) or stop_asked(desk, site_id)
    if stop is None:
        raise Trouble(
            say("No visit is planned at “{text}”.", text=chosen.site),
            do=say("Look for room with servicedesk squeeze."),
            exit_code=2,
        )
    wish = Wish(
        wishes=DayWishes(
            not_days=frozenset(chosen.not_days),
            not_on=frozenset(chosen.not_on),
            from_min=chosen.after,
            until_min=chosen.until,
            with_whom=chosen.with_whom,
        ),
        for_good=chosen.for_good,
        whom=chosen.whom,
    )
    offer = other_places(desk, stop, wish)
    if chosen.take is not None:
        return _take(desk, offer, wish, chosen.take, tell=tell)
    if chosen.json:
        print_json(offer)
    else:
        tell(*place_lines(offer, desk))
    return DONE if offer.places else LOOK


def place_lines(offer: OtherPlaces, desk: Desk) -> list[str]:
    """Each place on a line, numbered from 1."""
    f = desk.formats
    lines = [offer.address]
    if offer.was_on is not None:
        lines.append(say("planned until now: {day}", day=f.weekday(offer.was_on)))
    if offer.asked:
        lines.append(say("asked: {words}", words=offer.asked))
    for number, way in enumerate(offer.places, start=1):
        place = say("{day}, {who}, {begins}", day=f.weekday(way.day), who=way.technician,
                    begins=f.time(way.begin_min))  # fmt: skip
        road = say("{road} road", road=f.signed_minutes(way.extra_road_min))
        lines.append(f"{number}. {place}: {road}")
    return lines if offer.places else [*lines, offer.why_none]


def _take(desk: Desk, offer: OtherPlaces, wish: Wish, number: int, *, tell: Tell) -> int:
    """0 takes none: the visit is freed and waits."""
    if not 0 <= number <= len(offer.places):
        raise Trouble(
            say("There is no place {n} for {address}.", n=number, address=offer.address),
            do=offer.why_none or say("Choose one from 1 to {n}, or 0 for no day yet.",
                                     n=len(offer.places)),
            exit_code=2,
        )  # fmt: skip
    way = offer.places[number - 1] if number else None
    take_other(desk, offer, wish, way)
    if way is None:
        tell(say("{address} waits for a day.", address=offer.address))
    else:
        tell(
            say("{address}: {day}, {who}, {begins}", address=offer.address,
                day=desk.formats.weekday(way.day), who=way.technician,
                begins=desk.formats.time(way.begin_min))
        )  # fmt: skip
    return DONE
