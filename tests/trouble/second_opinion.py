"""Repeat alerts reckoned again by another road, slowly and without the program's own code.

The change odds are the posterior of a two-state process: usual until an unknown day, frequent from
then on. Here that day is summed over on a fine grid of time, so neither the closed form of a gap
nor the step at a call is used. All counts are made afresh from the list of calls at every call.
"""

from datetime import date, timedelta
from math import exp, log

STEPS_PER_DAY = 4


def chance_by_grid(usual, frequent, turning, start_day, callback_days):
    """Chance, after the last callback, that the process has turned by then.

    Odds against "not turned", with the hazard of turning added at a constant rate per year (as the
    rule is defined: "not turned" stays at weight 1). Sum over the moment of turning: before it the
    calls are `usual` by rate, after it `frequent`; midpoints of `STEPS_PER_DAY` steps a day.
    """
    last = callback_days[-1]
    width = 1 / STEPS_PER_DAY
    odds = 0.0
    for step in range((last - start_day) * STEPS_PER_DAY):
        turned = start_day + (step + 0.5) * width
        n_after = sum(day > turned for day in callback_days)
        log_ratio = n_after * log(frequent / usual) - (frequent - usual) * (last - turned) / 365
        odds += turning * width / 365 * exp(log_ratio)
    return odds / (1 + odds)


def chance_by_months(usual, frequent, turning, callback_slices, n_slices, slice_years):
    """The same as an exact hidden Markov chain in `n_slices` time slices, forward recursion.

    Two states; calls per slice are Bernoulli with rate x length. A turned site stays turned.
    """
    well, turned = 1.0, 0.0
    stays = exp(-turning * slice_years)
    for number in range(n_slices):
        well, turned = well * stays, turned + well * (1 - stays)
        p_well, p_turned = usual * slice_years, frequent * slice_years
        if number in callback_slices:
            well, turned = well * p_well, turned * p_turned
        else:
            well, turned = well * (1 - p_well), turned * (1 - p_turned)
        well, turned = well / (well + turned), turned / (well + turned)
    return turned


def joined(days):
    """Callback days of one place and symptom with those within 14 days of a counted one gone."""
    left = sorted(set(days))
    kept = []
    while left:
        kept.append(left[0])
        left = [day for day in left if day > kept[-1] + timedelta(days=14)]
    return kept


def alerts_again(calls, starts, per_year):
    """Alerts as {(place, day, symptom, level): chance}; `calls` (place, day, symptom) tuples.

    `starts`: place to start, every place, no call before its start. `per_year`: hazard.
    """
    by_pair = {}
    for place, on, symptom in calls:
        by_pair.setdefault((place, symptom), []).append(on)
    by_pair = {pair: joined(days) for pair, days in by_pair.items()}
    every = [(place, symptom, on) for (place, symptom), days in by_pair.items() for on in days]
    found = {}
    for (place, symptom), days in by_pair.items():
        odds, at, said = 0.0, starts[place], {"watch": date.min, "act": date.min}
        for on in days:
            usual, share = _usual(every, starts, place, symptom, on)
            odds = _forward(odds, (on - at).days / 365, usual, per_year * share)
            at = on
            chance = odds / (1 + odds)
            free = {level for level, last in said.items() if last + timedelta(days=180) <= on}
            if chance >= 0.7 and "act" in free:
                found[place, on, symptom, "act"] = chance
                said = {"watch": on, "act": on}
            elif chance >= 0.4 and "watch" in free:
                found[place, on, symptom, "watch"] = chance
                said["watch"] = on
    return found


def _usual(every, starts, place, symptom, on):
    """Calls per year to be expected here, and the share of the symptom, from days before and the call."""
    before = [one for one in every if one[2] < on or one == (place, symptom, on)]
    kinds = max(10, len({kind for _place, kind, day in every if day <= on}))
    site_years = sum(max(0, (on - start).days) for start in starts.values()) / 365
    same = [one for one in before if one[1] == symptom]
    share = (len(same) + 10 / kinds) / (len(before) + 10)
    of_symptom = (len(same) + 100 * 0.25 * share) / (site_years + 100)
    of_all = (len(before) + 100 * 0.25) / (site_years + 100)
    others_here = sum(one[0] == place and one[1] != symptom for one in before)
    here_years = max(30, (on - starts[place]).days) / 365
    multiplier = (2 + others_here) / (2 + (of_all - of_symptom) * here_years)
    return of_symptom * multiplier, share


def _forward(odds, gap_years, usual, turning, n_steps=400):
    """Odds after a gap and a call: small steps of the defining equation (second order), no exp.

    dR/dt = turning - (frequent - usual) R, then R x frequent / usual.
    """
    frequent = max(1.0, 2 * usual)
    width = gap_years / n_steps
    for _step in range(n_steps):
        slope = turning - (frequent - usual) * odds
        middle = odds + slope * width / 2
        odds += (turning - (frequent - usual) * middle) * width
    return odds * frequent / usual
