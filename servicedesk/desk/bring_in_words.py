"""What a list would do, in words: values, what is new, lines of the report."""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from servicedesk.desk.bring_in_fields import Terms
from servicedesk.exchange.columns import EXTRA
from servicedesk.exchange.headers import Left
from servicedesk.values.money import Money
from servicedesk.words import say, say_n
from servicedesk.words.calls import dispersal
from servicedesk.words.formats import Formats

if TYPE_CHECKING:
    from servicedesk.desk.bring_in import Proposal
    from servicedesk.desk.bring_in_plan import RowPlan
    from servicedesk.exchange.columns import Mapping


def value_text(name: str, value: Any, formats: Formats, currency: str) -> str:
    """One value as a person reads it; what is empty is a dash."""
    if value in (None, "", []):
        return "\u2014"
    if name == "site.position":
        return f"{value[0]:.5f}, {value[1]:.5f}"
    if name == "contract.until_on":
        return formats.day(date.fromisoformat(value) - timedelta(days=1))
    if name.endswith("_on"):
        return formats.day(date.fromisoformat(value))
    if name == "contract.price_minor":
        return formats.money(Money(int(value), currency))
    if name == "system.dispersal":
        return dispersal(value) or str(value)
    return str(value).replace("\n", " / ")


def made_words(plan: "RowPlan", formats: Formats, currency: str) -> tuple[str, ...]:
    """What a row would make, one text each."""
    row = plan.source
    made: list[str] = []
    if plan.site_id is None and plan.lead:
        made.append(say("new site"))
    if plan.system_id is None and not (plan.site_id is None and plan.lead):
        made.append(say("one more system there"))
    if plan.lead and plan.customer_id is not None and plan.customer_id < 0 and row.owner:
        made.append(say("owner {name}", name=row.owner.typed))
    if plan.phones:
        made.append(say("phone {numbers}", numbers=", ".join(p.typed for p in plan.phones)))
    if plan.contact:
        made.append(say("contact {name}", name=plan.contact))
    if plan.secret and not any(change.name == "secret.gate" for change in plan.changes):
        made.append(say("a gate code"))
    if plan.new_contract and plan.terms:
        made.append(contract_words(plan.terms, formats, currency))
    if plan.visits:
        made.append(say_n("{n} past visit", "{n} past visits", len(plan.visits)))
    return tuple(made)


def contract_words(terms: Terms, formats: Formats, currency: str) -> str:
    """A contract in one text: "contract Jan 1, 2026 – Dec 31, 2026, 3 visits a year"."""
    text = say(
        "contract {begin} – {end}, {visits}",
        begin=formats.day(terms.from_on),
        end=formats.day(terms.until_on - timedelta(days=1)),
        visits=say_n("{n} visit a year", "{n} visits a year", terms.visits_a_year),
    )
    if terms.price_minor is not None:
        text += ", " + formats.money(Money(terms.price_minor, currency))
    return text


def counts_line(proposal: "Proposal") -> str:
    """The whole in one line; what there is none of is left out."""
    n = proposal.counts
    parts = [
        say_n("{n} new site", "{n} new sites", n.new_sites) if n.new_sites else "",
        say_n("{n} more system", "{n} more systems", n.new_systems) if n.new_systems else "",
        say_n("{n} row changed", "{n} rows changed", n.changed) if n.changed else "",
        say_n("{n} row kept as edited here", "{n} rows kept as edited here", n.kept)
        if n.kept
        else "",
        say_n("{n} row unchanged", "{n} rows unchanged", n.same) if n.same else "",
        say_n("{n} row to look at", "{n} rows to look at", n.asked) if n.asked else "",
        say_n("{n} row skipped", "{n} rows skipped", n.skipped) if n.skipped else "",
        say_n("{n} missing from the list", "{n} missing from the list", n.missing)
        if n.missing
        else "",
        say_n("{n} past visit", "{n} past visits", n.visits) if n.visits else "",
    ]
    return ", ".join(part for part in parts if part) or say("Nothing to bring in.")


def row_lines(plan: "RowPlan") -> list[str]:
    """What becomes of one row, a line each; nothing for a row that stays as it is."""
    head = say("row {row}: {title}", row=plan.row, title=plan.title)
    lines = []
    if plan.made:
        lines.append(f"{head}: {'; '.join(plan.made)}")
    for change in plan.changes:
        text = say(
            "{field}: {old} \u2192 {new}", field=change.title, old=change.old, new=change.new
        )
        if change.kept:
            text += " " + say("(edited here, kept; tick it to overwrite)")
        lines.append(f"{head}: {text}")
    lines += [f"{head}: {say('to look at: {what}', what=what)}" for what in plan.asked]
    return lines


def assumed_lines(plans: Iterable["RowPlan"]) -> list[str]:
    """What is assumed of contracts, a line for each text with its rows."""
    rows: dict[str, list[int]] = {}
    for plan in plans:
        for text in plan.assumed:
            rows.setdefault(text, []).append(plan.row)
    return [
        say_n(
            "row {rows}: {what}.", "rows {rows}: {what}.", len(those), rows=spans(those), what=text
        )
        for text, those in rows.items()
    ]


def spans(numbers: Iterable[int]) -> str:
    """Numbers in order, neighbors joined: "2–9, 12"."""
    found: list[list[int]] = []
    for n in sorted(set(numbers)):
        if found and n == found[-1][1] + 1:
            found[-1][1] = n
        else:
            found.append([n, n])
    return ", ".join(str(a) if a == b else f"{a}\u2013{b}" for a, b in found)


def report_lines(proposal: "Proposal") -> list[str]:
    """The dry run in words: counts first, then row by row, then what was left out and why."""
    lines = [f"{proposal.name}: {counts_line(proposal)}"]
    lines += unknown_columns(proposal.mapping)
    lines += [say("Assumed: {what}", what=what) for what in proposal.assumed]
    lines += [
        say("Question: {text} ({examples})", text=q.text, examples=", ".join(q.examples[:3]))
        for q in proposal.questions
    ]
    for plan in proposal.rows:
        lines += row_lines(plan)
    lines += [
        say("row {row}: skipped: {why}", row=one.row, why=one.why) for one in proposal.skipped
    ]
    lines += [
        say("Not in the list any more, left as it is: {title}", title=one.title)
        for one in proposal.missing
    ]
    told = {plan.row for plan in proposal.rows if plan.state != "same"}
    lines += [
        f"{one.ref or say('row {row}', row=one.row)}: {one.what} {one.how}".strip()
        for one in proposal.warnings
        if one.row is None or one.row in told or one.row == proposal.header_row
    ]
    lines += left_lines(proposal.left)
    return lines


def unknown_columns(mapping: "Mapping") -> list[str]:
    """One line that names the columns no field was found for, and how to say what they mean."""
    names = [f"“{one.heading}”" for one in mapping.columns(EXTRA) if one.heading]
    if not names:
        return []
    return [
        say(
            "Not understood, kept as notes: {columns}. Say what they mean with --column.",
            columns=", ".join(names),
        )
    ]


def left_lines(left: Iterable[tuple[int, Left, str]]) -> list[str]:
    """Rows that are no site: numbers and the reason, one line for each reason."""
    names = {
        Left.SECTION: say("section titles"),
        Left.TOTAL: say("totals"),
        Left.REPEATED: say("repeated headings"),
        Left.BELOW: say("notes below the list"),
    }
    by_reason: dict[str, list[str]] = {}
    for number, why, _text in left:
        if why in names:
            by_reason.setdefault(names[why], []).append(str(number))
    return [
        say("Left out, {what}: rows {rows}", what=what, rows=", ".join(rows))
        for what, rows in by_reason.items()
    ]
