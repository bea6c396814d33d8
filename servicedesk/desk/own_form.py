"""Own entries from a form with few fields, or as a copy of an entry that is there.

A form brings plain values by name. What it does not ask stays as the entry (or the one copied) has
it. Where an entry cannot be meant, `WrongEntry` says so at the field.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from servicedesk.desk.checking import Wrong, WrongEntry, refuse
from servicedesk.desk.knowledge import (
    OwnRow,
    WrongOwn,
    change_own,
    end_own,
    knowledge_of,
    own,
    write_own,
)
from servicedesk.desk.office import Desk
from servicedesk.records.store import Changed
from servicedesk.trade.cautions import cautions, job_cautions
from servicedesk.trade.faults import Knowledge
from servicedesk.trade.own import OwnEntry
from servicedesk.trade.own_shapes import (
    body_of_cause,
    body_of_check,
    body_of_part,
    likelihood_words,
    new_id,
    results_body,
    row_of,
    share_of,
    weight_of,
    with_row,
)
from servicedesk.values.reason import Reason
from servicedesk.words import say
from servicedesk.words.knowledge_reasons import fault_alone

# which field of a form an entry's key was asked in
_FIELDS = {
    "id": "name",
    "evidence": "shown_by",
    "results": "results",
    "minutes": "minutes",
    "weight": "per_100",
    "how": "how",
    "mechanism": "mechanism",
    "permanent_fix": "permanent_fix",
}
_TEXTS = ("name", "mechanism", "permanent_fix", "workaround", "why_missed", "how")


def values_of(desk: Desk, kind: str, entry_id: str) -> dict[str, Any]:
    """What a form shows of an entry: for a copy, or for changing an own one."""
    row = next((r for r in own(desk) if (r.kind_of, r.entry_id) == (kind, entry_id)), None)
    return values_from(knowledge_of(desk), row, kind, entry_id)


def values_from(known: Knowledge, row: OwnRow | None, kind: str, entry_id: str) -> dict[str, Any]:
    """The same from what was read before: `row` is None for an entry of the program."""
    body = dict(row.body) if row is not None else _shipped_body(known, kind, entry_id)
    values: dict[str, Any] = {**body, "note": row.note if row is not None else ""}
    if kind == "cause":
        values["part"] = next(iter(body.get("parts", ())), None)
    if kind == "check":
        values["results"] = "\n".join(
            f"{one['text']} {_percent(one['usual'])}%" for one in body.get("results", ())
        )
        values["like"] = entry_id
    if kind == "weight":
        symptom, _, cause = entry_id.partition(" ")
        values["per_100"] = round(100 * share_of(known, symptom, cause), 1)
    return values


def write_cause(desk: Desk, values: Mapping[str, Any], *, copied: str = "") -> Changed:
    """A new cause and how often it is behind one symptom; `copied`: the cause it begins as.

    One that is no copy takes over the cautions of all causes at its part of the system.

    `values`: name, component, mechanism, permanent_fix, workaround, why_missed, part, symptom,
    per_100 (such calls in 100), shown_by ("check result"), how_likely (a word), note.
    """
    known = knowledge_of(desk)
    _refuse_empty(values, "name", "mechanism", "permanent_fix")
    if not copied and not values.get("shown_by"):
        refuse([Wrong("shown_by", say("Choose the check that shows it."))])
    base = body_of_cause(known.causes[copied]) if copied else {}
    base.pop("nearest_rivals", None)
    if not copied:
        base["cautions"] = cautions_at(known, str(values.get("component")))
    base["id"] = new_id(values["name"], known.causes)
    body = _cause_body(known, base, values)
    symptom = str(values["symptom"])
    share = _share(values)
    weight = {
        "symptom": symptom,
        "cause": body["id"],
        "weight": weight_of(known, symptom, body["id"], share),
    }
    entries = [OwnEntry("cause", body), OwnEntry("weight", weight)]
    return _written(desk, known, entries, note=values.get("note", ""))


def cautions_at(known: Knowledge, component: str) -> list[str]:
    """Ids of all cautions of the causes there; those of a repair, the fullest list, where none."""
    found = {
        caution
        for cause in known.causes.values()
        if cause.component == component
        for caution in cause.cautions
    } or {*job_cautions()["always"], *job_cautions()["repair"]}
    return [caution for caution in cautions() if caution in found]


def write_check(desk: Desk, values: Mapping[str, Any]) -> Changed:
    """A new check. `like`: the check whose tools, cautions and needs it takes over, uncut.

    `values` besides: name, where, how, minutes, results (one a line, perhaps with a percentage).
    """
    known = knowledge_of(desk)
    _refuse_empty(values, "name", "how", "results", "like")
    body = {**_check_body(known, {}, values), "id": new_id(values["name"], known.checks)}
    return _written(desk, known, [OwnEntry("check", body)], note=values.get("note", ""))


def write_part(desk: Desk, values: Mapping[str, Any]) -> Changed:
    """A new kind of part: name, usually_on_truck."""
    known = knowledge_of(desk)
    _refuse_empty(values, "name")
    body = {
        "id": new_id(values["name"], known.part_kinds),
        "name": values["name"].strip(),
        "usually_on_truck": bool(values.get("usually_on_truck")),
    }
    return _written(desk, known, [OwnEntry("part_kind", body)], note=values.get("note", ""))


def write_weight(desk: Desk, values: Mapping[str, Any]) -> Changed:
    """How often a cause is behind a symptom here: symptom, cause, per_100, note.

    Takes the place of an own number that stands already.
    """
    known = knowledge_of(desk)
    symptom, cause = str(values["symptom"]), str(values["cause"])
    weight = weight_of(known, symptom, cause, _share(values))
    entry = OwnEntry("weight", {"symptom": symptom, "cause": cause, "weight": weight})
    return _written(desk, known, [entry], note=values.get("note", ""))


def change_entry(
    desk: Desk, own_id: int, values: Mapping[str, Any], *, seen: int | None
) -> Changed:
    """An own entry with what the form brought; names not brought stay."""
    row = next(one for one in own(desk) if one.id == own_id)
    known = knowledge_of(desk)
    for name in set(values) & {"name", "mechanism", "permanent_fix", "how", "results"}:
        _refuse_empty(values, name)
    body = dict(row.body)
    match row.kind_of:
        case "cause":
            body = _cause_body(known, body, values)
        case "check":
            body = _check_body(known, body, values)
        case "weight" if "per_100" in values:
            symptom, cause = str(body["symptom"]), str(body["cause"])
            body["weight"] = weight_of(known, symptom, cause, _share(values))
        case _:
            body |= {k: values[k] for k in ("name", "usually_on_truck") if k in values}
    note = values.get("note", row.note)
    revision = row.revision if seen is None else seen
    try:
        return change_own(desk, own_id, body, seen=revision, note=note)
    except WrongOwn as wrong:
        raise _at_field(wrong, known, [OwnEntry(row.kind_of, body)]) from wrong


def end_entry(desk: Desk, own_id: int) -> Changed:
    """End an own entry; with a cause, the numbers that say how often it is.

    Raises WrongEntry where another own entry still names it.
    """
    rows = own(desk)
    row = next(one for one in rows if one.id == own_id)
    ended = [own_id, *(one.id for one in rows if _is_number_of(one, row))]
    return end_own(desk, ended)


def _is_number_of(one: OwnRow, cause: OwnRow) -> bool:
    return (
        cause.kind_of == "cause"
        and one.kind_of == "weight"
        and one.body.get("cause") == cause.entry_id
    )


def _shipped_body(known: Knowledge, kind: str, entry_id: str) -> dict[str, Any]:
    match kind:
        case "cause":
            return body_of_cause(known.causes[entry_id])
        case "check":
            return body_of_check(known.checks[entry_id])
        case "part_kind":
            return body_of_part(known.part_kinds[entry_id])
    symptom, _, cause = entry_id.partition(" ")
    return {"symptom": symptom, "cause": cause}


def _cause_body(
    known: Knowledge, base: Mapping[str, Any], values: Mapping[str, Any]
) -> dict[str, Any]:
    body = {**base, **_texts(values)}
    if values.get("component"):
        body["component"] = values["component"]
    if "part" in values:
        first = [values["part"]] if values["part"] else []
        body["parts"] = [*first, *(p for p in base.get("parts", ())[1:] if p not in first)]
    if values.get("shown_by"):
        check, _, result = str(values["shown_by"]).partition(" ")
        word = values.get("how_likely") or next(iter(likelihood_words()))
        row = row_of(known.checks[check], result, likelihood_words()[word])
        new = {"check": check, "said": {result: word}, "p": row}
        body["evidence"] = with_row(base.get("evidence", ()), new)
    return {key: value for key, value in body.items() if value != ""}


def _check_body(
    known: Knowledge, base: Mapping[str, Any], values: Mapping[str, Any]
) -> dict[str, Any]:
    body = {**base, **_texts(values)}
    if values.get("like"):
        like = body_of_check(known.checks[values["like"]])
        body |= {key: like.get(key, []) for key in ("tools", "cautions", "needs")}
    if values.get("where"):
        body["where"] = values["where"]
    if "minutes" in values:
        body["minutes"] = values["minutes"]
    if "results" in values:
        body["results"] = _results(values["results"], base.get("results", ()))
    return body


def _results(text: str, before: Any) -> list[dict[str, Any]]:
    """Lines "hums 5%" as results; one whose words stay keeps its id, for findings name it."""
    said: list[tuple[str, float | None]] = []
    for line in text.splitlines():
        words, _, last = line.strip().rpartition(" ")
        number = last.removesuffix("%").replace(",", ".")
        if words and last.endswith("%") and number.replace(".", "", 1).isdigit():
            said.append((words.strip(), float(number) / 100))
        elif line.strip():
            said.append((line.strip(), None))
    if len(said) < 2:
        refuse([Wrong("results", say("Write two results at least, one a line."))])
    ids = {one["text"]: one["id"] for one in before}
    return [{**one, "id": ids.get(one["text"], one["id"])} for one in results_body(said)]


def _texts(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: values[name].strip() for name in _TEXTS if isinstance(values.get(name), str)}


def _share(values: Mapping[str, Any]) -> float:
    per_100 = values.get("per_100")
    if not isinstance(per_100, int | float) or not 0 < per_100 < 100:
        refuse([Wrong("per_100", say("Write a number above 0 and below 100."))])
    return float(per_100 or 0) / 100


def _percent(share: float) -> str:
    return f"{100 * share:.4g}"


def _refuse_empty(values: Mapping[str, Any], *names: str) -> None:
    says = {
        "name": say("Write a name."),
        "mechanism": say("Write what happens."),
        "permanent_fix": say("Write what mends it for good."),
        "how": say("Write how it is done."),
        "results": say("Write two results at least, one a line."),
        "like": say("Choose the most similar check: its cautions are taken over."),
    }
    refuse(Wrong(name, says[name]) for name in names if not str(values.get(name) or "").strip())


def _written(desk: Desk, known: Knowledge, entries: list[OwnEntry], *, note: str) -> Changed:
    try:
        return write_own(desk, entries, note=note.strip())
    except WrongOwn as wrong:
        raise _at_field(wrong, known, entries) from wrong


def _at_field(wrong: WrongOwn, known: Knowledge, entries: Iterable[OwnEntry]) -> WrongEntry:
    """The same, at the field of the form if it is about what the form brought, names for ids."""
    fault = wrong.fault
    about = {f"{one.kind} {one.entry_id}" for one in entries}
    place, _, key = fault.key.partition(".")
    if place not in about:
        return wrong  # another entry stands in the way: the whole sentence says which
    reason = fault.reason
    named = {**{one.id: one.name for one in known.causes.values()},
             **{one.id: one.name for one in known.checks.values()}}  # fmt: skip
    values = {
        name: f"“{named[v]}”" if isinstance(v, str) and v in named else v
        for name, v in reason.values
    }
    field = _FIELDS.get(key.partition(".")[0], key)
    return WrongEntry([Wrong(field, fault_alone(Reason.of(reason.code, **values)))])
