"""Letters in the company's own wording: texts with fields, looked at before anything is printed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from string import Formatter

from servicedesk.desk.checking import Wrong, WrongEntry
from servicedesk.desk.office import Desk
from servicedesk.records.company import Company
from servicedesk.records.renewal_rows import company_texts
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

OFFER, REMINDER, SECOND_ATTEMPT = "offer", "offer_reminder", "second_attempt"
_COMPANY = ("company", "phone", "email")
_CONTRACT = (
    "holder", "address", "contract", "visits", "ends", "from", "until", "price_now", "price",
    "change",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterKind:
    """A letter that may be worded: its fields, and our own wording."""

    id: str
    name: str
    fields: tuple[str, ...]
    ours: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """The text of a letter as it is used. `seen`: revision of the company that holds it."""

    kind: LetterKind
    text: str
    is_own: bool
    seen: int | None


def letter_kinds() -> tuple[LetterKind, ...]:
    """All letters that may be worded."""
    return (
        LetterKind(
            id=OFFER,
            name=say("Offer of the next year"),
            fields=(*_CONTRACT, *_COMPANY),
            ours=_offer(),
        ),
        LetterKind(
            id=REMINDER,
            name=say("Reminder of an offer"),
            fields=(*_CONTRACT, "offered", "offer_number", *_COMPANY),
            ours=_reminder(),
        ),
        LetterKind(
            id=SECOND_ATTEMPT,
            name=say("Before a second attempt"),
            fields=("address", "work", *_COMPANY),
            ours=_second_attempt(),
        ),
    )


def letter_kind(kind_id: str) -> LetterKind:
    """One of them. Raises KeyError."""
    return {kind.id: kind for kind in letter_kinds()}[kind_id]


def wording_of(desk: Desk, kind_id: str) -> Wording:
    """The company's own wording of a letter, else ours."""
    kind = letter_kind(kind_id)
    with desk.store.read() as session:
        kept = company_texts(session)
    own = str(kept.texts.get(kind_id) or "") if kept else ""
    return Wording(
        kind=kind,
        text=own or kind.ours,
        is_own=bool(own),
        seen=kept.revision if kept else None,
    )


def write_wording(desk: Desk, kind_id: str, text: str, *, seen: int | None = None) -> Changed:
    """Keep the company's own wording; an empty text, or our own, takes ours again.

    Raises WrongEntry for wording that cannot be filled in, StaleEdit, Trouble without a company.
    """
    kind = letter_kind(kind_id)
    own = "" if text.strip() == kind.ours.strip() else text.strip()
    wrong = wrong_wording(own, kind.fields)
    if wrong:
        raise WrongEntry([Wrong("text", wrong, _meant(own, kind.fields))])
    with desk.store.read() as session:
        kept = company_texts(session)
    if kept is None:
        raise Trouble(
            say("There is no company yet whose wording this could be."),
            do=say("Write its name under Set up first."),
        )
    with desk.store.change(desk.who, say("Worded a letter: {name}", name=kind.name)) as work:
        company = work.fresh(Company, kept.company_id, seen=seen)
        texts = {key: value for key, value in company.texts.items() if key != kind_id}
        company.texts = {**texts, kind_id: own} if own else texts
    return work.changed


def check_wording(text: str, fields: Sequence[str]) -> None:
    """Raises Trouble for a field that does not exist, or a brace that is not closed."""
    wrong = wrong_wording(text, fields)
    if wrong:
        raise Trouble(
            wrong,
            means=say("No letter was made."),
            do=say("Fields are: {fields}.", fields=", ".join(f"{{{name}}}" for name in fields)),
        )


def wrong_wording(text: str, fields: Sequence[str]) -> str:
    """What is wrong with a text in one sentence that names the nearest field; "" if nothing is."""
    try:
        used = _used(text)
    except ValueError:
        return say(
            "The wording has a brace that belongs to no field: one is {example}, a brace itself is "
            "written double.",
            example="{price}",
        )
    unknown = next((name for name in used if name not in fields), None)
    if unknown is None:
        return ""
    near = _nearest(unknown, fields)
    if near:
        return say(
            "The wording asks for “{name}”, which is no field; the nearest is {near}.",
            name=unknown,
            near=f"{{{near}}}",
        )
    return say("The wording asks for “{name}”, which is no field.", name=unknown)


def _used(text: str) -> list[str]:
    """Fields as written. How a value looks is ours: "{price:d}" is a field of its own, and none."""
    return [
        name + (f"!{shown}" if shown else "") + (f":{spec}" if spec else "")
        for _, name, spec, shown in Formatter().parse(text)
        if name is not None
    ]


def _nearest(name: str, fields: Sequence[str]) -> str:
    """The field that was probably meant; "" where none is near."""
    plain = name.strip().lower().split("!")[0].split(":")[0]
    return next(iter(get_close_matches(plain, fields, n=1, cutoff=0.5)), "")


def _meant(text: str, fields: Sequence[str]) -> str | None:
    """The text with every field that is near to one of ours put right; None where one is not."""
    try:
        used = [name for name in _used(text) if name not in fields]
    except ValueError:
        return None
    for name in used:
        near = _nearest(name, fields)
        if not near:
            return None
        text = text.replace(f"{{{name}}}", f"{{{near}}}")
    return text


def filled(text: str, values: Mapping[str, str]) -> tuple[str, ...]:
    """The paragraphs with their values. A value goes in once: braces in a name are no fields."""
    paragraphs = [part.strip() for part in text.replace("\r\n", "\n").split("\n\n")]
    return tuple(part.format(**values) for part in paragraphs if part)


def _braced(*names: str) -> dict[str, str]:
    return {name: "{" + name + "}" for name in names}


def _offer() -> str:
    return say(
        "Dear {holder},\n\n"
        "Your maintenance contract {contract} for {address} ends on {ends}. We would be glad to "
        "go on looking after your system.\n\n"
        "We offer the next year, {from} to {until}, with {visits} inspections, at {price}. "
        "This year's price is {price_now}.\n\n"
        "If you agree, sign below and send this letter back, or call us at {phone}.\n\n"
        "Signature: ______________________________     Day: ______________",
        **_braced(*_CONTRACT, *_COMPANY),
    )


def _reminder() -> str:
    return say(
        "Dear {holder},\n\n"
        "On {offered} we sent you our offer {offer_number} to look after the system at {address} "
        "for another year. We have not heard from you yet.\n\n"
        "Contract {contract} ends on {ends}. The offer stands: {from} to {until}, with {visits} "
        "inspections, at {price}.\n\n"
        "If you agree, sign below and send this letter back. If you would rather not go on, or "
        "have a question, please call us at {phone}.\n\n"
        "Signature: ______________________________     Day: ______________",
        **_braced(*_CONTRACT, "offered", "offer_number", *_COMPANY),
    )


def _second_attempt() -> str:
    return say(
        "We wanted to inspect your treatment system and could not.\n\n"
        "The inspection is part of your contract, and it may be asked for by your permitting "
        "authority. Please call us for a day that suits you.\n\n"
        "You reach us at {phone}.",
        **_braced("address", "work", *_COMPANY),
    )
