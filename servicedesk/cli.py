"""The same work without a screen: `servicedesk --help` lists the verbs.

Exit codes: 0 done, 1 something to look at, 2 wrong use or input, 3 store trouble.
"""

import argparse
import io
import json
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, NoReturn

from servicedesk import __version__
from servicedesk.desk.verb_options import add_place, day_of, place_of
from servicedesk.values.trouble import Stopped, Trouble
from servicedesk.words import say

DONE, LOOK, WRONG, STORE = 0, 1, 2, 3


class _Verbs(argparse._SubParsersAction):  # type: ignore[type-arg]
    """The help of a verb begins with the line that stands beside it in the list of verbs."""

    def add_parser(self, name: str, **more: Any) -> argparse.ArgumentParser:
        about = more.get("help")
        if about and "description" not in more:
            more["description"] = about[:1].upper() + about[1:] + ("" if about[-1] in "?." else ".")
        made: argparse.ArgumentParser = super().add_parser(name, **more)
        return made


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence and where the help is; exit code 2."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**more)
        self.register("action", "parsers", _Verbs)

    def error(self, message: str) -> NoReturn:
        self.exit(
            WRONG, f"{self.prog}: {message}\n" + say("See: {prog} --help", prog=self.prog) + "\n"
        )


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one verb. Returns the exit code; troubles become sentences on standard error."""
    try:
        code: int = _run(arguments)
        if sys.stdout is not None:
            sys.stdout.flush()
    except Trouble as trouble:
        print(trouble, file=sys.stderr)
        return trouble.exit_code
    except (Stopped, KeyboardInterrupt):
        print(say("Stopped. What was written before stands whole."), file=sys.stderr)
        return LOOK
    except BrokenPipeError:
        _write_no_more()
        return DONE
    return code


def wrong_use(arguments: Sequence[str]) -> int | None:
    """Say what is wrong with the command line and return its exit code; None if it is well."""
    try:
        parser().parse_args(arguments)
    except SystemExit as ended:
        return int(ended.code or DONE)
    return None


def _run(arguments: Sequence[str] | None) -> int:
    _write_what_can_be_written()
    try:
        chosen = parser().parse_args(arguments)
    except SystemExit as ended:  # help, version, wrong use: said already
        return int(ended.code or DONE)
    return int(chosen.do(chosen))


def _write_what_can_be_written() -> None:
    """A shell that knows fewer letters than we write gets marks instead of an error."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")


def _write_no_more() -> None:
    """Whoever read our output has gone: what is still buffered goes nowhere, in silence."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def tell(*lines: str) -> None:
    """Lines for people on standard output. Raises Trouble where it cannot be written."""
    try:
        print("\n".join(lines), flush=True)
    except BrokenPipeError:
        raise
    except OSError as error:
        _write_no_more()
        raise Trouble(
            say("The answer cannot be written to standard output."),
            means=say("The work itself is done."),
            do=say("Make room on the disk it is sent to."),
        ) from error


def _without_verb() -> argparse.ArgumentParser:
    """The options of the window: no verb is loaded for them, which the start would feel."""
    top = _Parser(
        prog="servicedesk",
        description=say("The memory of a company that looks after on-site wastewater systems."),
        epilog=say("Without a verb the window opens (without a screen: the morning's work)."),
    )
    top.add_argument("--version", action="version", version=f"servicedesk {__version__}")
    top.add_argument(
        "--sample",
        action="store_true",
        help=say("look around in an invented company made for today"),
    )
    add_place(top)
    top.set_defaults(do=_no_verb, store=None, today=None, who=None)
    return top


def parser() -> argparse.ArgumentParser:
    """The verbs and their options."""
    top = _without_verb()
    verbs = top.add_subparsers(title=say("verbs"), metavar="VERB")
    _morning_verb(verbs)
    _weeks_verbs(verbs)
    _site_verbs(verbs)
    _map_verb(verbs)
    _shelf_verbs(verbs)
    _out_verbs(verbs)
    _work_verbs(verbs)
    _trouble_verbs(verbs)
    _deadlines_verb(verbs)
    _reports_verb(verbs)
    _renewals_verb(verbs)
    _contract_verbs(verbs)
    _sample_verb(verbs)
    _store_verbs(verbs)
    _knowledge_verbs(verbs)
    _roads_verbs(verbs)
    return top


def _morning_verb(verbs: Any) -> None:
    verb = verbs.add_parser(
        "morning", help=say("plan today's rounds, say what is worth a look, write the papers")
    )
    add_place(verb)
    verb.add_argument("--out", metavar="FOLDER", type=Path, help=say("where the papers go"))
    verb.add_argument("--secrets", action="store_true", help=say("print gate codes on the sheets"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    verb.set_defaults(do=morning_verb)


def morning_verb(chosen: argparse.Namespace) -> int:
    """`servicedesk morning`: exit code 1 if a promise is at risk or something found no place."""
    from servicedesk.desk.morning import morning
    from servicedesk.desk.office import open_desk
    from servicedesk.desk.places_on_disk import papers_folder

    place = place_of(chosen)
    desk = open_desk(place, who=chosen.who, today=chosen.today)
    _warn_of_place(place)
    out = chosen.out or papers_folder(place)
    report = morning(desk, desk.today, out=out, secrets=chosen.secrets)
    if chosen.json:
        print_json(report)
    else:
        from servicedesk.desk.morning_text import morning_lines

        tell(*morning_lines(report, desk.formats))
    return LOOK if report.n_at_risk or report.n_left_out else DONE


def _weeks_verbs(verbs: Any) -> None:
    from servicedesk.desk.hand_verbs import add_hand_verbs
    from servicedesk.desk.plan_verb import add_plan_verb, add_squeeze_verb

    add_plan_verb(verbs, tell=tell, print_json=print_json)
    add_squeeze_verb(verbs, tell=tell, print_json=print_json)
    add_hand_verbs(verbs, tell=tell, print_json=print_json)


def _out_verbs(verbs: Any) -> None:
    from servicedesk.desk.out_cli import add_out_verb
    from servicedesk.desk.tell_cli import add_tell_verb

    add_out_verb(verbs, tell=tell, print_json=print_json)
    add_tell_verb(verbs, tell=tell, print_json=print_json)


def _shelf_verbs(verbs: Any) -> None:
    from servicedesk.desk.shelf_cli import add_load_verb, add_shelf_verb

    add_load_verb(verbs, tell=tell, print_json=print_json)
    add_shelf_verb(verbs, tell=tell, print_json=print_json)


def _site_verbs(verbs: Any) -> None:
    from servicedesk.desk.history_cli import add_history_verb
    from servicedesk.desk.visit_cli import add_visit_verb

    add_visit_verb(verbs, tell=tell, print_json=print_json)
    add_history_verb(verbs, tell=tell, print_json=print_json)


def _work_verbs(verbs: Any) -> None:
    from servicedesk.desk.bring_in_verb import add_bring_in_verb
    from servicedesk.desk.writeup_verb import add_done_verb

    add_bring_in_verb(verbs, print_json=print_json, warn=_warn_of_place)
    add_done_verb(verbs, print_json=print_json, warn=_warn_of_place)


def _trouble_verbs(verbs: Any) -> None:
    from servicedesk.desk.trouble_verbs import add_trouble_verbs

    add_trouble_verbs(verbs, tell=tell, print_json=print_json, warn=_warn_of_place)


def _sample_verb(verbs: Any) -> None:
    from servicedesk.desk.sample_verb import add_sample_verb

    add_sample_verb(verbs, tell=tell)


def _map_verb(verbs: Any) -> None:
    from servicedesk.desk.map_cli import add_map_verb

    add_map_verb(verbs, add_place=add_place, day=day_of, tell=tell)


def _warn_of_place(place: str) -> None:
    """Say on standard error if a store's file lies where it is not safe."""
    from servicedesk.desk.stores import place_warnings

    for warning in place_warnings(place):
        print(warning, file=sys.stderr)


def _deadlines_verb(verbs: Any) -> None:
    from servicedesk.desk.report_verbs import add_deadlines_verb

    add_deadlines_verb(verbs, tell=tell, print_json=print_json)


def _reports_verb(verbs: Any) -> None:
    from servicedesk.desk.report_verbs import add_reports_verb

    add_reports_verb(verbs, tell=tell, print_json=print_json)


def _renewals_verb(verbs: Any) -> None:
    from servicedesk.desk.renewals_verb import add_renewals_verb

    add_renewals_verb(verbs, tell=tell, print_json=print_json)


def _contract_verbs(verbs: Any) -> None:
    from servicedesk.desk.bills_verb import add_bills_verb
    from servicedesk.desk.contract_verb import add_contract_verb
    from servicedesk.desk.rules_verb import add_rules_verb

    add_contract_verb(verbs, tell=tell, print_json=print_json)
    add_rules_verb(verbs, tell=tell, print_json=print_json)
    add_bills_verb(verbs, tell=tell, print_json=print_json)


def _store_verbs(verbs: Any) -> None:
    from servicedesk.desk.stores_cli import add_store_verbs

    group = verbs.add_parser("store", help=say("new, check, backup, restore, upgrade, export"))
    kinds = group.add_subparsers(title=say("verbs"), metavar="VERB", required=True)
    add_store_verbs(kinds, tell=tell, warn=_warn_of_place)


def _knowledge_verbs(verbs: Any) -> None:
    from servicedesk.desk.knowledge_cli import add_knowledge_verbs

    group = verbs.add_parser("knowledge", help=say("your own causes, checks and parts"))
    kinds = group.add_subparsers(title=say("verbs"), metavar="VERB", required=True)
    add_knowledge_verbs(kinds, place=place_of, tell=tell, print_json=print_json)


def _roads_verbs(verbs: Any) -> None:
    from servicedesk.desk.roads_cli import add_roads_verbs

    group = verbs.add_parser("roads", help=say("roads of an extract, and addresses in it"))
    kinds = group.add_subparsers(title=say("verbs"), metavar="VERB", required=True)
    add_roads_verbs(kinds, place=place_of, tell=tell, print_json=print_json)


def _no_verb(chosen: argparse.Namespace) -> int:
    """No verb and no window: the morning's work, on the sample if asked for."""
    code = morning_verb(
        argparse.Namespace(
            store=_window_place(chosen),
            today=chosen.today,
            who=chosen.who,
            out=None,
            secrets=False,
            json=False,
        )
    )
    return DONE if code == LOOK and chosen.sample else code


def office_opener(words: Sequence[str]) -> Callable[[], Any]:
    """How the window gets its office: the options of the command line, opened when called."""
    chosen = _without_verb().parse_args(words)

    def opened() -> Any:
        from servicedesk.desk.front import FrontOffice
        from servicedesk.desk.office import open_desk

        place = _window_place(chosen)
        _warn_of_place(place)
        desk = open_desk(place, who=chosen.who, today=chosen.today)
        return FrontOffice(desk, asks_seat=not (chosen.who or chosen.sample))

    return opened


def _window_place(chosen: argparse.Namespace) -> str:
    """The store to open; the default one is made, empty, the first time."""
    from servicedesk.desk.sample import sample_folder, sample_store
    from servicedesk.desk.stores import machine_zone, new_store

    if chosen.sample:
        if sample_folder().is_passing:
            print(
                say(
                    "The data folder cannot be written: the sample lies in {folder} for now.",
                    folder=sample_folder().path,
                ),
                file=sys.stderr,
            )
        return str(sample_store(chosen.today))
    place = place_of(chosen)
    if chosen.store is None and "://" not in place and not Path(place).exists():
        new_store(place, time_zone=machine_zone())
    return place


def log_folder() -> Path | None:
    """Where mistakes of ours are written, None if nowhere can be written."""
    from servicedesk.desk.places_on_disk import data_folder

    try:
        return data_folder()
    except Trouble:
        return None


def print_json(value: Any) -> None:
    """A frozen result as JSON, and nothing else, on standard output."""
    from servicedesk.words.as_json import plain

    encoding = (getattr(sys.stdout, "encoding", None) or "utf-8").lower().replace("-", "")
    tell(json.dumps(plain(value), ensure_ascii=encoding != "utf8", indent=2))
