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


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence and where the help is; exit code 2."""

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
    _bring_in_verb(verbs)
    _done_verb(verbs)
    _alerts_verb(verbs)
    _patterns_verb(verbs)
    _deadlines_verb(verbs)
    _reports_verb(verbs)
    _renewals_verb(verbs)
    _contract_verbs(verbs)
    _sample_verb(verbs)
    _store_verbs(verbs)
    _knowledge_verbs(verbs)
    _roads_verbs(verbs)
    _causes_verb(verbs)
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


def _map_verb(verbs: Any) -> None:
    from servicedesk.desk.map_cli import add_map_verb

    add_map_verb(verbs, add_place=add_place, day=day_of, tell=tell)


def _warn_of_place(place: str) -> None:
    """Say on standard error if a store's file lies where it is not safe."""
    from servicedesk.desk.stores import place_warnings

    for warning in place_warnings(place):
        print(warning, file=sys.stderr)


def _bring_in_verb(verbs: Any) -> None:
    verb = verbs.add_parser(
        "bring-in", help=say("bring in a list of sites, customers, contracts, past visits")
    )
    add_place(verb)
    verb.add_argument("file", type=Path, help=say("CSV, XLSX, or GPX of named places"))
    verb.add_argument("--check", action="store_true", help=say("only say what would be done"))
    verb.add_argument("--sheet", metavar="NAME", help=say("which sheet of a workbook"))
    verb.add_argument(
        "--day-first",
        action=argparse.BooleanOptionalAction,
        default=None,
        help=say("whether 3/4 is the 3rd of April"),
    )
    verb.add_argument(
        "--swap-positions",
        action=argparse.BooleanOptionalAction,
        default=None,
        help=say("exchange latitude and longitude where they look exchanged"),
    )
    verb.add_argument(
        "--west",
        action=argparse.BooleanOptionalAction,
        default=None,
        help=say("longitudes without a minus lie west"),
    )
    verb.add_argument("--area-code", metavar="DIGITS", help=say("of phone numbers without one"))
    verb.add_argument(
        "--currency", metavar="CODE", type=str.upper, help=say("of the prices, such as USD")
    )
    verb.add_argument(
        "--column",
        metavar="HEADER=MEANING",
        action="append",
        default=[],
        help=say("correct what a column means; MEANING may be “nothing”"),
    )
    verb.add_argument(
        "--overwrite", action="store_true", help=say("also cells that were edited here since")
    )
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    verb.set_defaults(do=_bring_in)


def _bring_in(chosen: argparse.Namespace) -> int:
    from servicedesk.desk.bring_in_cli import bring_in_from_shell

    _warn_of_place(place_of(chosen))
    return bring_in_from_shell(chosen, print_json=print_json)


def _done_verb(verbs: Any) -> None:
    verb = verbs.add_parser("done", help=say("write up a visit"))
    add_place(verb)
    verb.add_argument("site", help=say("address, permit, number or phone of the site"))
    verb.add_argument("--in", dest="arrived", metavar="TIME", help=say("arrived at, such as 9:05"))
    verb.add_argument("--out", dest="left", metavar="TIME", help=say("left at"))
    verb.add_argument(
        "--outcome",
        choices=["done", "partly", "could-not"],
        default="done",
        help=say("how it went"),
    )
    verb.add_argument("--why", default="", help=say("why it could not be done, such as no-access"))
    verb.add_argument("--found", default="", help=say("what was found"))
    verb.add_argument("--did", default="", help=say("what was done"))
    verb.add_argument(
        "--reading",
        metavar="ITEM=VALUE",
        action="append",
        default=[],
        help=say("a reading, such as chlorine=0.5"),
    )
    verb.add_argument(
        "--part",
        action="append",
        default=[],
        help=say("a part used, such as “4 x sealed connector”"),
    )
    _units_of(verb)
    verb.add_argument(
        "--owed",
        action="append",
        default=[],
        help=say("what is still owed, such as “west head: low nozzle by Nov 30”"),
    )
    verb.add_argument(
        "--fix", choices=["", "fixed", "patched", "reset-only"], default="", help=say("how lasting")
    )
    _findings_of(verb)
    verb.add_argument("--told", metavar="WHOM", default="", help=say("who was told"))
    verb.add_argument(
        "--as-usual", action="store_true", help=say("every item of an inspection as usual")
    )
    verb.add_argument(
        "--all-ticked", action="store_true", help=say("the whole list before leaving is ticked")
    )
    verb.add_argument("--as-left", metavar="NOTE", default="", help=say("how it was left"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    verb.set_defaults(do=_done)


def _units_of(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--replaced",
        metavar="COMPONENT=PART",
        action="append",
        default=[],
        help=say("a unit replaced, such as “effluent-pump=P-050,serial=B2,reason=failed”"),
    )
    verb.add_argument(
        "--approved-by",
        metavar="NAME",
        default="",
        help=say("who agreed to parts over what the contract allows"),
    )
    verb.add_argument("--approval-owed", action="store_true", help=say("nobody agreed to them yet"))


def _findings_of(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--check",
        metavar="ID=RESULT",
        action="append",
        default=[],
        help=say("a check made, such as splice-look=wet-or-green or pump-amps=6.9 A, normal"),
    )
    verb.add_argument("--cause", metavar="ID", default="", help=say("the cause behind the trouble"))
    verb.add_argument(
        "--known-by",
        choices=["", "a-direct-check", "replaced-and-gone", "seen", "presumed"],
        default="",
        help=say("how we know the cause"),
    )
    verb.add_argument(
        "--no-fault-found",
        action="store_true",
        help=say("no fault was found; checks that are still missing are written as owed"),
    )
    verb.add_argument("--could-not-look", action="store_true", help=say("nobody could look"))


def _done(chosen: argparse.Namespace) -> int:
    from servicedesk.desk.writeup_cli import done_from_shell

    _warn_of_place(place_of(chosen))
    return done_from_shell(chosen, print_json=print_json)


def _alerts_verb(verbs: Any) -> None:
    verb = verbs.add_parser(
        "alerts", help=say("say which sites call again and again for the same thing")
    )
    add_place(verb)
    verb.add_argument(
        "--calls", metavar="FILE", type=Path, help=say("past calls: site,date,symptom")
    )
    verb.add_argument("--sites", metavar="FILE", type=Path, help=say("sites: site,start_date"))
    verb.add_argument("--out", metavar="FILE", type=Path, help=say("where the alerts go (CSV)"))
    verb.add_argument(
        "--until", metavar="DAY", type=day_of, help=say("as it stood on that day; later calls wait")
    )
    verb.add_argument(
        "--dial",
        choices=["fewer", "usual", "more"],
        help=say("fewer alerts, or more (default: usual)"),
    )
    verb.add_argument(
        "--day-first",
        action=argparse.BooleanOptionalAction,
        default=None,
        help=say("whether 3/4 is the 3rd of April"),
    )
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    verb.set_defaults(do=_alerts)


def _alerts(chosen: argparse.Namespace) -> int:
    of_lists = (chosen.out, chosen.until, chosen.dial, chosen.day_first)
    if chosen.calls is None and chosen.sites is None:
        if any(option is not None for option in of_lists):
            raise Trouble(
                say("--out, --until, --dial and --day-first go with --calls and --sites."),
                do=say("Of a store: give --today instead of --until, or --json instead of --out."),
            )
        from servicedesk.desk.alerts_store_cli import alerts_of_store

        _warn_of_place(place_of(chosen))
        return alerts_of_store(chosen, print_json=print_json, tell=tell)
    from servicedesk.desk.alerts_cli import alerts_from_shell

    chosen.dial = chosen.dial or "usual"
    return alerts_from_shell(chosen, print_json=print_json, tell=tell)


def _patterns_verb(verbs: Any) -> None:
    verb = verbs.add_parser("patterns", help=say("what keeps failing, and is it chance?"))
    add_place(verb)
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    verb.set_defaults(do=_patterns)


def _patterns(chosen: argparse.Namespace) -> int:
    from servicedesk.desk.patterns_cli import patterns_from_shell

    _warn_of_place(place_of(chosen))
    return patterns_from_shell(chosen, tell=tell, print_json=print_json)


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

    add_contract_verb(verbs, tell=tell, print_json=print_json)
    add_bills_verb(verbs, tell=tell, print_json=print_json)


def _sample_verb(verbs: Any) -> None:
    verb = verbs.add_parser("sample", help=say("make the store of an invented company"))
    verb.add_argument(
        "--size",
        choices=["small", "county", "growth"],
        default="small",
        help=say("about 420, 3,000 or 10,000 sites (default: small)"),
    )
    verb.add_argument(
        "--seed", type=_seed, default=1, help=say("equal seed and day give equal rows (default: 1)")
    )
    verb.add_argument(
        "--today",
        metavar="DAY",
        type=day_of,
        default=argparse.SUPPRESS,
        help=say("made for this day (default: today)"),
    )
    verb.add_argument(
        "--out", metavar="FILE", type=Path, required=True, help=say("the store to make")
    )
    verb.set_defaults(do=_sample)


def _seed(text: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            say("{text} is not a whole number", text=repr(text))
        ) from None


def _sample(chosen: argparse.Namespace) -> int:
    from servicedesk.desk.sample import make_sample_at

    n_sites = make_sample_at(chosen.out, size=chosen.size, seed=chosen.seed, day=chosen.today)
    tell(say("Made an invented company with {n} sites in {path}.", n=n_sites, path=chosen.out))
    return DONE


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


def _causes_verb(verbs: Any) -> None:
    verb = verbs.add_parser("causes", help=say("what a trouble may be, and what to check next"))
    add_place(verb)
    which = verb.add_mutually_exclusive_group(required=True)
    which.add_argument(
        "file", metavar="CASE", type=Path, nargs="?", help=say("a case or a list of them, JSON")
    )
    which.add_argument("--site", metavar="SITE", help=say("address, permit, number or phone"))
    verb.add_argument(
        "--system", metavar="NAME", help=say("which one, where the site has several systems")
    )
    verb.add_argument("--symptom", metavar="ID", help=say("of the site (default: the last call's)"))
    verb.add_argument("--out", metavar="FILE", type=Path, help=say("of the site, one page (PDF)"))
    verb.add_argument("--json", action="store_true", help=say("JSON alone, on standard output"))
    verb.set_defaults(do=_causes)


def _causes(chosen: argparse.Namespace) -> int:
    if chosen.site is not None:
        from servicedesk.desk.causes_store_cli import causes_of_site

        _warn_of_place(place_of(chosen))
        return causes_of_site(chosen, print_json=print_json, tell=tell)
    from servicedesk.desk.causes_cli import causes_from_shell

    return causes_from_shell(chosen, print_json=print_json, tell=tell)


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
    from servicedesk.desk.stores import new_store

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
        new_store(place)
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
