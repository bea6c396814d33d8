"""`servicedesk causes --site`: a second opinion on a site of the store, in lines, JSON or PDF."""

import argparse
from collections.abc import Callable
from contextlib import closing
from typing import Any

from servicedesk.desk.cases import SeveralSystems
from servicedesk.desk.causes_cli import opinion_as_json
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.second_opinion import second_opinion, site_named, system_named
from servicedesk.desk.second_opinion_paper import opinion_paper, opinion_text
from servicedesk.desk.verb_options import Tell, desk_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

DONE = 0


def causes_of_site(
    chosen: argparse.Namespace,
    *,
    print_json: Callable[[Any], None],
    tell: Tell,
) -> int:
    """The opinion on the site that `chosen.site` names. Exit code 0. Raises Trouble."""
    desk = desk_of(chosen)
    with closing(desk.store):
        site_id = site_named(desk, chosen.site)
        try:
            told = second_opinion(
                desk,
                site_id=site_id,
                system_id=system_named(desk, site_id, chosen.system) if chosen.system else None,
                symptoms=[chosen.symptom] if chosen.symptom else (),
            )
        except SeveralSystems as error:
            raise Trouble(
                error.what, do=say("Say which one with --system and its name."), exit_code=2
            ) from error
        if chosen.out is not None:
            try:
                chosen.out.write_bytes(opinion_paper(desk, told))
            except OSError as error:
                raise Trouble(
                    say("{file} cannot be written.", file=chosen.out),
                    do=say("Check that its folder is there, has room and may be written to."),
                ) from error
        if chosen.json:
            print_json(opinion_as_json(told.address, told.answer, knowledge_of(desk)))
        elif chosen.out is None:
            tell(*opinion_text(desk, told))
        else:
            tell(say("Written to {file}.", file=chosen.out))
    return DONE
