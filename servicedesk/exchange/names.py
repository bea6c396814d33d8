"""Names as people keep them in a list: family name first or last, couples, associations.

The text is always kept as typed. The split beside it is a proposal for letters and sorting;
`sure` tells where the order of the words leaves no doubt.
"""

import re
from dataclasses import dataclass

HOUSEHOLD, ORGANISATION = "household", "organization"

# Words that only organizations carry; common practice, no source
_ORGANISATION = re.compile(
    r"\b(hoa|poa|llc|l\.l\.c|inc|corp|co|ltd|llp|lp|pllc|association|assn|assoc|society|company|"
    r"church|chapel|parish|ministries|school|academy|college|isd|district|county|city|town|village|"
    r"township|state|department|dept|authority|utility|utilities|council|commission|fire|vfd|police|"
    r"park|parks|marina|camp|campground|lodge|motel|hotel|inn|resort|club|store|market|grocery|"
    r"restaurant|cafe|diner|bar|grill|bakery|clinic|hospital|dental|veterinary|farm|farms|ranch|"
    r"dairy|nursery|estates|apartments|condos|condominiums|properties|realty|rentals|homes|builders|"
    r"construction|contractors|services|enterprises|holdings|group|partners|foundation|trust|estate|"
    r"museum|grange|library|center|centre|station|bank|office|warehouse|storage|plant|works|mill|"
    r"subdivision|owners|committee|board|post|legion|cooperative|coop)\b\.?",
    re.IGNORECASE,
)
_TITLES = re.compile(r"^(mr|mrs|ms|miss|dr|rev|prof|sr|sra|sgt|capt|hon)\.?\s+", re.IGNORECASE)
_SUFFIX = re.compile(r",?\s+\b(jr|sr|ii|iii|iv|md|phd|esq)\b\.?$", re.IGNORECASE)
_AND = re.compile(r"\s*(?:&|\+|\band\b|\by\b|\bet\b|\bu\.)\s*", re.IGNORECASE)
_PARTICLE_WORDS = (
    "de del della der den van von vom zu la le du dos da di san santa "
    "st st. mac mc ter ten el al bin"
)
_PARTICLES = frozenset(_PARTICLE_WORDS.split())
# Some of the words above are also family names
_FAMILY_WORDS = (
    "park parks church mill bar camp farm post bank plant fire grill market bakery lodge center "
    "board inn hotel works club store"
)
_ALSO_FAMILY_NAMES = frozenset(_FAMILY_WORDS.split())
_BOTH = re.compile(r"^mr\.?\s*(?:&|and|\+)\s*mrs\.?\s+", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class OwnerName:
    """A name. `typed` as it stands; for a household `family` and `given` (two joined by "and").

    `note` is what stood in brackets or after "c/o". `sure` is False where given and family name
    might be the other way round.
    """

    typed: str
    kind: str = HOUSEHOLD
    family: str = ""
    given: str = ""
    note: str = ""
    sure: bool = True


def owner_name(text: str, *, family_first: bool = False) -> OwnerName:
    """The owner named in a cell.

    "Quillan, Ruth", "Ruth & Tom Quillan", "Ruth Quillan and Tom Abbot", "Abbot Fen HOA".
    `family_first`: the heading says so ("Last First"), or most of the column does.
    """
    typed = " ".join(text.split())
    body, note = _without_notes(typed)
    if _is_organisation(body):
        return OwnerName(typed, ORGANISATION, note=note)
    if not body and note:  # only "c/o Ruth Quillan"
        body = re.sub(r"^(c/o|attn:?|care of)\s+", "", note, flags=re.IGNORECASE)
    for pattern in (_BOTH, _TITLES, _SUFFIX):
        body = pattern.sub("", body)
    body = body.strip(" ,.;&")
    if "," in body:
        return _with_comma(typed, body, note)
    people = [person for person in _AND.split(body) if person]
    if not people:
        return OwnerName(typed, note=note, sure=False)
    if len(people) > 1:
        return _couple(typed, people, note, family_first=family_first)
    family, given = _one(people[0], family_first=family_first)
    return OwnerName(typed, HOUSEHOLD, family, given, note, sure=False)


def _without_notes(text: str) -> tuple[str, str]:
    notes = re.findall(r"[(\[]([^)\]]*)[)\]]", text)
    body = re.sub(r"[(\[][^)\]]*[)\]]", " ", text)
    care = re.search(r"\b(?:c/o|attn:?|care of)\s+(.*)$", body, re.IGNORECASE)
    if care:
        notes.append(care.group(0).strip())
        body = body[: care.start()]
    return " ".join(body.split()).strip(" -–,"), "; ".join(note.strip() for note in notes)


def _is_organisation(body: str) -> bool:
    if re.search(r"\d", body) or re.match(
        r"(the|city of|town of|county of)\s", body, re.IGNORECASE
    ):
        return True
    found = _ORGANISATION.search(body)
    if not found:
        return False
    # "Park, Ruth" and "Ruth Mill" are people: such words count at the end of three or more words,
    # or wherever they can be nothing else
    plain = found.group(1).casefold() in _ALSO_FAMILY_NAMES
    return not plain or ("," not in body and len(body.split()) > 2 and not _AND.search(body))


def _with_comma(typed: str, body: str, note: str) -> OwnerName:
    family, _, given = body.partition(",")
    family, given = family.strip(), given.strip(" ,")
    if len(family.split()) > 1 and len(given.split()) > 1 and not _AND.search(family):
        first_family, first_given = _one(family, family_first=False)
        other_family, other_given = _one(given, family_first=False)
        if family.split()[0].casefold() not in _PARTICLES:  # "Ruth Quillan, Tom Abbot"
            return _joined(typed, (first_family, first_given), (other_family, other_given), note)
    people = [_TITLES.sub("", person).strip() for person in _AND.split(given) if person.strip()]
    shared = [person.removesuffix(" " + family).strip() for person in people]
    return OwnerName(typed, HOUSEHOLD, family, " and ".join(shared), note)


def _couple(typed: str, people: list[str], note: str, *, family_first: bool) -> OwnerName:
    """Two people; the first may leave out the family name they share."""
    people = [_SUFFIX.sub("", _TITLES.sub("", person)) for person in people]
    if len(people[0].split()) > 1 and len(people[-1].split()) == 1:  # "Quillan Ruth & Tom"
        family, given = _one(people[0], family_first=True)
        given = " and ".join([given, *people[1:]])
        return OwnerName(typed, HOUSEHOLD, family, given, note, sure=family_first)
    family, given = _one(people[-1], family_first=False)
    firsts = people[:-1]
    if all(len(person.split()) == 1 for person in firsts):
        return OwnerName(typed, HOUSEHOLD, family, " and ".join([*firsts, given]), note)
    return _joined(typed, _one(people[0], family_first=False), (family, given), note)


def _joined(typed: str, one: tuple[str, str], two: tuple[str, str], note: str) -> OwnerName:
    if one[0].casefold() == two[0].casefold():
        return OwnerName(typed, HOUSEHOLD, one[0], f"{one[1]} and {two[1]}", note)
    return OwnerName(
        typed, HOUSEHOLD, f"{one[0]} and {two[0]}", f"{one[1]} and {two[1]}", note, sure=False
    )


def _one(person: str, *, family_first: bool) -> tuple[str, str]:
    """Family and given name of one person; particles stay with the family name."""
    words = person.split()
    if len(words) < 2:
        return person, ""
    if family_first:
        n = 1
        while n < len(words) - 1 and words[n - 1].casefold() in _PARTICLES:
            n += 1
        return " ".join(words[:n]), " ".join(words[n:])
    start = len(words) - 1
    while start > 1 and words[start - 1].casefold() in _PARTICLES:
        start -= 1
    return " ".join(words[start:]), " ".join(words[:start])
