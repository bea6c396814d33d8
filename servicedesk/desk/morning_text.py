"""The morning's report as lines for the shell."""

from servicedesk.desk.morning import Morning, RoundLine
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats


def morning_lines(report: Morning, formats: Formats) -> list[str]:
    """Date, stops, road minutes, late and at risk, three lines worth a look, the papers' paths."""
    lines = [formats.long_day(report.day)]
    if report.nobody_works:
        return [*lines, report.nobody_works, *_worth_a_look(report)]
    figures = (
        say_n("{n} stop", "{n} stops", report.n_stops),
        say_n("{n} road minute", "{n} road minutes", report.road_min),
        say("{n} late", n=report.n_late),
        say_n("{n} promise at risk", "{n} promises at risk", report.n_at_risk),
        say("{n} closing within a week", n=report.n_closing),
    )
    lines.append(" · ".join(figures))
    share = round(100 * report.n_guessed / report.n_stops) if report.n_stops else 0
    lines.append(
        say(
            "Places guessed: {n} of {of} stops ({share}%)",
            n=report.n_guessed,
            of=report.n_stops,
            share=share,
        )
    )
    if report.planner == "simple":
        lines.append(say("Simple planner: the solver is not installed."))
    lines.extend(_round_line(line, formats) for line in report.rounds)
    lines.extend(_worth_a_look(report))
    if report.papers:
        lines.append(say("Papers:"))
        lines.extend(f"  {path}" for path in report.papers)
    return lines


def _worth_a_look(report: Morning) -> list[str]:
    """Also on a day without rounds: a promise does not wait for a working day."""
    if not report.worth_a_look:
        return []
    return [say("Worth a look:"), *(f"  {warned.text}" for warned in report.worth_a_look)]


def _round_line(line: RoundLine, formats: Formats) -> str:
    return say(
        "{name}: {stops}, leave {leave}, {road} driving, home {home}",
        name=line.technician,
        stops=say_n("{n} stop", "{n} stops", line.n_stops),
        leave=formats.time(line.leave_min),
        road=formats.minutes(line.road_min),
        home=formats.time(line.home_min),
    )
