"""What the forms of own entries ask: few fields, each with the words of the trade."""

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from servicedesk.desk.checking import Wrong, WrongEntry
from servicedesk.desk.knowledge_lists import where_text
from servicedesk.desk.office import Desk
from servicedesk.desk.own_file import read_own_file, write_own_file
from servicedesk.trade.checks import WHERE
from servicedesk.trade.faults import Knowledge
from servicedesk.trade.own_shapes import likelihood_words
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.words import say

Options = tuple[tuple[Any, str], ...]
FILE_NAME = "own-knowledge.yaml"


def cause_fields(known: Knowledge, *, is_new: bool) -> tuple[FieldSpec, ...]:
    """The fields of a cause; only a new one is asked how often it is."""
    components = tuple((one.id, one.name) for one in known.components.values())
    often = weight_fields(known, with_cause=False) if is_new else ()
    return (
        _name(),
        FieldSpec(name="component", label=say("At"), kind="choice", options=components),
        FieldSpec(name="mechanism", label=say("What happens"), kind="long"),
        FieldSpec(name="permanent_fix", label=say("Lasting fix"), kind="long"),
        FieldSpec(name="workaround", label=say("Gets by for now"), kind="long"),
        FieldSpec(name="part", label=say("Part it takes"), kind="choice",
                  options=((None, say("none")), *_named(known.part_kinds.values()))),
        *often[:2],
        FieldSpec(name="shown_by", label=say("Check that shows it"), kind="choice",
                  heading=say("How it is told from others"), options=_results(known)),
        FieldSpec(name="how_likely", label=say("If so, this is"), kind="choice",
                  options=_likelihoods()),
        _note(),
    )  # fmt: skip


def check_fields(known: Knowledge) -> tuple[FieldSpec, ...]:
    """The fields of a check; its cautions come from the check it is like."""
    where = tuple((one, where_text(one)) for one in WHERE)
    return (
        _name(),
        FieldSpec(name="where", label=say("Where"), kind="choice", options=where),
        FieldSpec(name="how", label=say("How"), kind="long"),
        FieldSpec(name="minutes", label=say("Minutes"), kind="decimal"),
        FieldSpec(name="results", label=say("Results"), kind="long",
                  hint=say("one a line, the usual one first: dry 90%")),
        FieldSpec(name="like", label=say("Cautions as at"), kind="choice",
                  heading=say("Dangers and tools of the most similar check are taken over whole"),
                  options=(("", say("choose one")), *_by_name(known.checks.values()))),
        _note(),
    )  # fmt: skip


def part_fields() -> tuple[FieldSpec, ...]:
    """The fields of a kind of part."""
    tick = FieldSpec(name="usually_on_truck", label=say("Truck"), kind="tick",
                     hint=say("Usually on the truck"))  # fmt: skip
    return (_name(), tick, _note())


def component_fields() -> tuple[FieldSpec, ...]:
    """The fields of a kind of component."""
    return (_name(), _note())


def weight_fields(known: Knowledge, *, with_cause: bool = True) -> tuple[FieldSpec, ...]:
    """How often a cause is behind a symptom."""
    cause = FieldSpec(name="cause", label=say("Cause"), kind="choice",
                      options=_by_name(known.causes.values()))  # fmt: skip
    return (
        FieldSpec(name="symptom", label=say("Behind which call"), kind="choice",
                  options=_named(known.symptoms.values()), heading=say("How often")),
        *((cause,) if with_cause else ()),
        FieldSpec(name="per_100", label=say("In how many of 100"), kind="decimal",
                  hint=say("before anything is looked at")),
        _note(),
    )  # fmt: skip


def changed_weight_fields() -> tuple[FieldSpec, ...]:
    """How often, of a cause and symptom that stand."""
    number = FieldSpec(name="per_100", label=say("In how many of 100"), kind="decimal")
    return (number, _note())


def file_fields(hint: str) -> tuple[FieldSpec, ...]:
    """Which file."""
    return (FieldSpec(name="file", label=say("File"), hint=hint),)


def write_file(ids: Iterable[int] | None) -> Callable[[Desk, Mapping[str, Any]], object]:
    """On the worker: the own entries to a file that is not there yet."""

    def write(desk: Desk, values: Mapping[str, Any]) -> object:
        path = _path(values)
        if path.exists():
            says = say("{file} is there already.", file=path.name)
            raise WrongEntry([Wrong("file", says, str(_free(path)))])
        write_own_file(desk, path, ids)
        return ()

    return write


def read_file(desk: Desk, values: Mapping[str, Any]) -> object:
    """On the worker: a file of own entries taken back."""
    path = _path(values)
    if not path.is_file():
        raise WrongEntry([Wrong("file", say("There is no file {file}.", file=path))])
    return read_own_file(desk, path)


def _path(values: Mapping[str, Any]) -> Path:
    typed = str(values.get("file") or "").strip()
    if not typed:
        raise WrongEntry([Wrong("file", say("Write the name of a file."))])
    return Path(typed).expanduser()


def _free(path: Path) -> Path:
    """A name beside `path` that nobody has."""
    n = 2
    while (free := path.with_stem(f"{path.stem}-{n}")).exists():
        n += 1
    return free


def _name() -> FieldSpec:
    return FieldSpec(name="name", label=say("Name"))


def _note() -> FieldSpec:
    return FieldSpec(name="note", label=say("Where it comes from"),
                     hint=say("who saw it, when, how often"))  # fmt: skip


def _likelihoods() -> Options:
    words = {
        "very-likely": say("very likely"),
        "likely": say("likely"),
        "possible": say("possible"),
    }
    return tuple((word, words[word]) for word in likelihood_words() if word in words)


def _results(known: Knowledge) -> Options:
    """Every result of every check, by the check's name."""
    found = [
        (f"{check.id} {result.id}", say("{check} · {result}", check=check.name, result=result.text))
        for check in sorted(known.checks.values(), key=lambda c: c.name.casefold())
        for result in check.results
    ]
    return (("", say("choose one")), *found)


def _named(things: Iterable[Any]) -> Options:
    return tuple((one.id, one.name) for one in things)


def _by_name(things: Iterable[Any]) -> Options:
    return tuple(sorted(_named(things), key=lambda pair: pair[1].casefold()))
