"""The load of a truck as lines for the shell."""

from servicedesk.desk.load import FurtherLine, PickLine, TruckLoad
from servicedesk.desk.office import Desk
from servicedesk.words import say, say_n

MOST_FURTHER = 5
RARELY = 1_000  # a part that fewer inspections take is put on for no visit in particular
_WORTH_A_RANGE = 0.01
_ALMOST = 0.995  # less than sure is not told as 100%


def load_lines(load: TruckLoad, desk: Desk) -> list[str]:
    """Whose truck and what is to be done, the chance before and after, the pick list."""
    lines = [_head(load, desk), *chance_lines(load)]
    if not load.picks:
        lines.append(say("Nothing to put on it: what is on the truck reaches the aim."))
    lines += [_pick(one) for one in load.picks]
    further = load.further[:MOST_FURTHER]
    if further:
        lines.append(say("One more of these would add:"))
        lines += [_further(one) for one in further]
    return lines + left_out_lines(load)


def left_out_lines(load: TruckLoad) -> list[str]:
    """What the chances leave out: parts of no article, calls without symptom."""
    lines = []
    if load.not_kept:
        names = ", ".join(
            say("{name} ({chance})", name=name, chance=percent_text(chance))
            for name, chance in load.not_kept
        )
        lines.append(say("! May be asked for, not in the catalogue, not counted: {names}",
                         names=names))  # fmt: skip
    if load.unclear:
        lines.append(say("! No symptom or system is written, so not in it: {addresses}",
                         addresses=", ".join(load.unclear)))  # fmt: skip
    return lines


def days_text(load: TruckLoad, desk: Desk) -> str:
    """The day, or the first and the last one."""
    first, last = load.days[0], load.days[-1]
    if last == first:
        return desk.formats.day(first)
    return say("{first} to {last}", first=desk.formats.day(first), last=desk.formats.day(last))


def _head(load: TruckLoad, desk: Desk) -> str:
    parts = [
        say_n("{n} visit", "{n} visits", load.n_visits),
        say_n("{n} inspection", "{n} inspections", load.n_inspections),
        say_n("{n} callback", "{n} callbacks", load.n_calls),
        say_n("{n} owed", "{n} owed", load.n_owed),
    ]
    who = load.technician
    if load.truck:
        who = say("{technician}, {truck}", technician=who, truck=load.truck)
    return f"{who} · {days_text(load, desk)} · " + " · ".join(parts)


def chance_lines(load: TruckLoad) -> list[str]:
    """The chance before and after, and what it rests on."""
    lines = [
        say(
            "All finished at the first visit: {before} as the truck is, {after} with this list",
            before=percent_text(load.before),
            after=percent_text(load.after),
        )
    ]
    span = span_text(load)
    if span:
        lines[0] = say("{chance}, {span}", chance=lines[0], span=span)
    if any(one.buy for one in load.picks):
        lines.append(
            say("{chance} with what the shelf has of it", chance=percent_text(load.unbought))
        )
    if load.most < _ALMOST:
        lines.append(
            say(
                "More than {most} nobody can promise: causes that are on no list may ask for parts "
                "nobody can name.",
                most=percent_text(load.most),
            )
        )
    if load.at_least:
        lines.append(say("These chances are lower limits."))
    if not load.is_best:
        lines.append(say("Too many lists to look at all: a cheaper one may do as well."))
    return lines


def span_text(load: TruckLoad) -> str:
    """How far off the chance with the list may be, "" where nothing is to be said."""
    if load.high - load.low < _WORTH_A_RANGE:
        return ""
    return say(
        "could be {low} to {high}",
        low=round(100 * load.low),
        high=percent_text(load.high),
    )


def whom_text(pick: PickLine) -> str:
    """Who it is for, "" where nobody in particular."""
    whom = pick.whom
    if whom is None:
        return ""
    if whom.kind == "owed":
        return say("owed at {address}", address=whom.address)
    if whom.kind == "callback":
        return say("{address} may need it, {chance}", address=whom.address,
                   chance=percent_text(whom.chance))  # fmt: skip
    one_in = whom.n / whom.chance if whom.chance > 0 else 0.0
    if not 1.5 <= one_in < RARELY:
        return ""
    n = round(one_in) if one_in < 20 else 10 * round(one_in / 10)
    return say("1 in {n} inspections", n=n)


def _pick(one: PickLine) -> str:
    text = say(
        "  {n} x {name} ({numbers}): {there} on the truck, {shelf} on the shelf, adds {adds}",
        n=one.quantity,
        name=one.name,
        numbers=one.numbers,
        there=one.on_truck,
        shelf=one.on_shelf,
        adds=percent_text(one.adds),
    )
    whom = whom_text(one)
    if whom:
        text = say("{text} · {whom}", text=text, whom=whom)
    return text if not one.buy else say("{text}; buy {n} first", text=text, n=one.buy)


def _further(one: FurtherLine) -> str:
    text = say("  {name} ({numbers}): {adds}", name=one.name, numbers=one.numbers,
               adds=percent_text(one.adds))  # fmt: skip
    return text if one.on_shelf else say("{text}, not on the shelf", text=text)


def percent_text(chance: float) -> str:
    """A chance in words: neither none nor sure where it is not."""
    if 0 < chance < 0.01:
        return say("under 1%")
    if _ALMOST <= chance < 1:
        return say("over 99%")
    return say("{n}%", n=round(100 * chance))
