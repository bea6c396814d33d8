"""`servicedesk causes CASE.json`: a second opinion on cases from a bare file, without a store."""

import argparse
import sys
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from servicedesk.exchange.case_file import FileCase, one_line, read_case_file
from servicedesk.trade.cautions import caution_texts
from servicedesk.trade.faults import Knowledge, knowledge
from servicedesk.trouble.case import Case
from servicedesk.trouble.causes import CauseChance
from servicedesk.trouble.learning import UNLISTED
from servicedesk.trouble.opinion import Opinion, opinion
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats
from servicedesk.words.reasons import reason_text

_CAUSES_SHOWN, _CHECKS_SHOWN, _PARTS_SHOWN = 6, 5, 8
_DIGITS = 6


def causes_from_shell(
    chosen: argparse.Namespace,
    *,
    print_json: Callable[[Any], None],
    tell: Callable[..., None],
) -> int:
    """Answer every case of the file. Exit code 0. Raises Trouble for a file that is wrong."""
    known = knowledge()
    file = read_case_file(chosen.file, known)
    for one in file.cases:
        _tell_unclear(one)
    answers = [(one, opinion(one.case, known)) for one in file.cases]
    if chosen.json:
        plain = [opinion_as_json(one.id, answer, known) for one, answer in answers]
        print_json(plain if file.is_list else plain[0])
        return 0
    pages = [opinion_lines(one_line(one.id), one.case, answer, known) for one, answer in answers]
    tell(*(line for page in pages for line in (*page, "")))
    return 0


def opinion_as_json(case_id: str, answer: Opinion, known: Knowledge) -> dict[str, Any]:
    """The answer in the shape of `--json`: chances of all causes, the unlisted among them."""
    formats, names = Formats(), names_of(known)
    return {
        "format": 1,
        "id": case_id,
        "causes": [
            {"id": one.cause, "chance": round(one.chance, _DIGITS)} for one in in_order(answer)
        ],
        "unlisted": round(answer.unlisted, _DIGITS),
        "model": answer.model,
        "next_checks": [one.check for one in answer.next_checks],
        "never_done": list(answer.never_done),
        "sure": answer.sure,
        "why_not_sure": [reason_text(one, formats, names) for one in answer.why_not_sure],
    }


def opinion_lines(title: str, case: Case, answer: Opinion, known: Knowledge) -> list[str]:
    """The answer as a page for people: causes, next checks with how and cautions, what is owed."""
    formats, names = Formats(), names_of(known)
    symptoms = ", ".join(known.symptoms[s].name for s in case.symptoms)
    lines = [say("{title}: {symptoms}", title=title, symptoms=symptoms), "", say("What it may be:")]
    lines += [
        f"  {round(100 * c.chance):3d} %  {names[c.cause]}"
        for c in in_order(answer)[:_CAUSES_SHOWN]
    ]
    if answer.sure:
        lines.append(say("The first is established."))
    lines += _listed(say("Why nobody can be sure:"),
                     (reason_text(r, formats, names) for r in answer.why_not_sure))  # fmt: skip
    lines += _next_lines(answer, known)
    lines += _listed(say("Never done here, or not since the part was changed:"),
                     (known.checks[c].name for c in answer.never_done))  # fmt: skip
    parts = known.part_kinds
    lines += _listed(
        say("To bring:"),
        (
            f"{round(100 * chance):3d} %  {parts[part].name if part in parts else part}"
            for part, chance in answer.to_bring[:_PARTS_SHOWN]
        ),
    )
    return [*lines, "", say("Model: {model}.", model=answer.model), _speaking(answer)]


def _speaking(answer: Opinion) -> str:
    own = say_n("{n} own case speaks", "{n} own cases speak", answer.n_cases)
    if answer.is_default:
        return say("Default chances, from trade judgment; {own}.", own=own)
    return say("{own} beside the default chances.", own=own)


def in_order(answer: Opinion) -> list[CauseChance]:
    """All causes best first, "unlisted" at its own place among them."""
    all_of = [*answer.causes, CauseChance(UNLISTED, answer.unlisted)]
    return sorted(all_of, key=lambda one: -one.chance)


def names_of(known: Knowledge) -> Mapping[str, str]:
    """Names of causes and checks by id, of results by "check:result"."""
    names = {cause.id: cause.name for cause in known.causes.values()}
    for check in known.checks.values():
        names[check.id] = check.name
        names |= {f"{check.id}:{result.id}": result.text for result in check.results}
    names[UNLISTED] = say("Something not in this list")
    return names


def next_title(*, sure: bool) -> str:
    """What stands over the next checks: once a cause is established they only confirm it."""
    if sure:
        return say("To see it proved again and the fix hold, in this order")
    return say("Next, in this order")


def _next_lines(answer: Opinion, known: Knowledge) -> list[str]:
    shown = [known.checks[one.check] for one in answer.next_checks[:_CHECKS_SHOWN]]
    how = [
        say("{name} ({n} min): {how}", name=check.name, n=round(check.minutes), how=check.how)
        for check in shown
    ]
    lines = _listed(f"{next_title(sure=answer.sure)}:", how)
    return lines + _listed(
        say("Take care:"), caution_texts(caution for check in shown for caution in check.cautions)
    )


def _listed(title: str, items: Iterable[str]) -> list[str]:
    listed = [f"  {item}" for item in items]
    return ["", title, *listed] if listed else []


def _tell_unclear(one: FileCase) -> None:
    for words in one.unclear:
        told = say("{id}: the outcome “{words}” is not clear and was left out.",
                   id=one_line(one.id), words=one_line(words))  # fmt: skip
        sys.stderr.write(told + "\n")
