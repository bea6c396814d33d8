"""Contracts over the years, and the inspections they ask for."""

from dataclasses import dataclass, field
from datetime import date, timedelta

from sample_db.rows import Row, add_months
from sample_db.state import Plant, Setting

DAY = timedelta(days=1)
GAP_MONTHS = 4  # the invented rule for spray: at least once every four months
EARLY = 13 * DAY  # a day inside the tolerance of the contracts


@dataclass(slots=True, eq=False)
class Window:
    """One inspection that a contract asks for, of all systems the contract covers.

    `first` is the first day on which a crew takes it along, `limit` the last day in time.
    """

    plants: list[Plant]
    contract: Row
    ordinal: int
    begins: date
    ends: date  # excluded
    first: date = date.max
    limit: date = date.max
    again: bool = False  # the gate was locked before: goes out in any week
    locked_on: date | None = None  # seeded: the gate will be locked that day
    chain: "Chain | None" = None


@dataclass(slots=True, eq=False)
class Chain:
    """The windows of one site in order; the next one is dated when this one is done."""

    windows: list[Window] = field(default_factory=list)
    at: int = 0
    phase: float = 0.5

    def next(self, s: Setting, last: date | None) -> Window | None:
        """The next window with its dates, or None after the last one."""
        if self.at >= len(self.windows):
            return None
        window = self.windows[self.at]
        _date(s, window, last, self.phase)
        drifted = window.limit < window.begins - EARLY and last is not None
        if drifted and self.at:
            # the four months ran out before the next window counts: an extra one in between
            before = self.windows[self.at - 1]
            extra = Window(
                before.plants, before.contract, before.ordinal, before.begins, window.begins
            )
            extra.chain = self
            extra.limit, extra.first = window.limit, window.limit - 14 * DAY
            return extra
        self.at += 1
        return window


def make_contracts(s: Setting) -> list[Chain]:
    """All contracts up to today; the answer is one chain of windows for each site."""
    by_site: dict[int, list[Plant]] = {}
    for plant in s.plants:
        by_site.setdefault(plant.site["id"], []).append(plant)
    chains = []
    for plants in by_site.values():
        chain = Chain(_of_site(s, plants), phase=s.rng.uniform(0.35, 0.85))
        for window in chain.windows:
            window.chain = chain
        chains.append(chain)
    return chains


def _of_site(s: Setting, plants: list[Plant]) -> list[Window]:
    rng, first = s.rng, plants[0]
    anchor, drip = first.joined, "drip" in first.flags
    first_policy = first.system["started_on"] == first.joined and not drip
    if not first_policy:
        kind = rng.random()
        anchor = anchor.replace(month=1, day=1) if drip or kind < 0.2 else anchor
        anchor = anchor.replace(day=1) if 0.2 <= kind < 0.5 and not drip else anchor
    fate = 1.0 if any(p.kind for p in plants) else rng.random()
    visits = 2 if drip else 3
    counting = "rolling" if rng.random() < 0.08 and not drip else "fixed"
    price = rng.randrange(57, 84) * 500
    windows: list[Window] = []
    previous, months = None, 0
    while True:
        start = add_months(anchor, months)
        length = 24 if first_policy and months == 0 else 12
        until = add_months(anchor, months + length)
        months += length
        if start > s.today or (fate < 0.045 and until > s.today and previous is not None):
            _lapsed(plants, start, s.today)
            break
        if start < s.begin:
            continue  # before the records begin
        price = round(price * (1 + 0.001 * rng.randrange(5, 45)) / 100) * 100
        contract = _contract(s, plants, start, until, previous)
        contract |= {
            "visits_a_year": visits, "counting": counting, "price_minor": price,
            "is_first_policy": length == 24, "longest_gap_months": None if drip else GAP_MONTHS,
        }  # fmt: skip
        previous = contract
        windows += _windows(plants, contract, length * visits // 12)
        if 0.045 <= fate < 0.075 and until > s.today - 400 * DAY:
            _moved_away(s, plants, contract)
            break
    return windows


def _contract(
    s: Setting, plants: list[Plant], start: date, until: date, previous: Row | None
) -> Row:
    first = plants[0]
    n = len(s.rows.tables["contract"])
    contract = s.rows.add(
        "contract", number=n + 1, holder_id=first.person(start)[0], from_on=start, until_on=until,
        response_hours=24 if s.rng.random() < 0.05 else 48, approval_limit_minor=15000,
        follows_id=previous["id"] if previous else None, tolerance_days=14,
        own_number=f"K{start.year}-{n + 1}" if s.rng.random() < 0.5 else None,
        copy_sent_on=start - 20 * DAY if s.rng.random() < 0.94 else None,
    )  # fmt: skip
    for plant in plants:
        plant.contracts.append(contract)
        s.rows.add("contract_system", contract_id=contract["id"], system_id=plant.system["id"])
    return contract


def _lapsed(plants: list[Plant], start: date, today: date) -> None:
    if start <= today:
        for plant in plants:
            plant.left = start


def _moved_away(s: Setting, plants: list[Plant], contract: Row) -> None:
    """The customer went to another firm, or sold: the contract and the site end."""
    last = min(s.today - 5 * DAY, contract["until_on"])
    day = max(contract["from_on"] + 20 * DAY, last - s.rng.randrange(1, 250) * DAY)
    if day >= s.today:
        return
    why = s.rng.choice(["went to another firm", "sold, buyer did not want it", "sewer came"])
    contract |= {"ended_on": day, "ended_why": why}
    plants[0].site |= {"ended_on": day, "ended_why": why}
    for plant in plants:
        plant.left = day
        plant.system |= {"ended_on": day, "ended_why": why}


def _windows(plants: list[Plant], contract: Row, n: int) -> list[Window]:
    start, until = contract["from_on"], contract["until_on"]
    months = (until.year - start.year) * 12 + until.month - start.month
    return [
        Window(
            plants,
            contract,
            k + 1,
            add_months(start, k * months // n),
            add_months(start, (k + 1) * months // n),
        )
        for k in range(n)
    ]


def _date(s: Setting, window: Window, last: date | None, phase: float) -> None:
    """Set the first and the last day, from the inspection before and the chances of life."""
    window.limit = window.ends - DAY
    first = window.begins if last is None else max(window.begins - EARLY, last + 30 * DAY)
    gap = window.contract["longest_gap_months"]
    if gap is None:  # twice a year, not closer than four months
        if last is not None:
            first = max(first, add_months(last, GAP_MONTHS) + 2 * DAY)
        length = (window.ends - window.begins).days
        first = max(first, window.begins + round((phase + s.rng.gauss(0, 0.03)) * length) * DAY)
    elif last is not None:
        window.limit = min(window.limit, add_months(last, gap))
    window.first = first if gap is None else max(first, window.limit - 14 * DAY)
    if s.rng.random() < s.truth_share("late"):
        window.first = window.limit + s.rng.randrange(3, 25) * DAY
    if window.plants[0].closed_in_winter:
        _before_winter(window)
    _for_today(s, window)


def _before_winter(window: Window) -> None:
    """The closed spans are December 15 to March 1: before them where that counts, else after."""
    winter = date(window.limit.year - (window.limit.month <= 2), 12, 14)
    if window.limit.month > 2 and window.limit < winter:
        return
    if winter > window.begins - EARLY:
        window.limit = min(window.limit, winter)
        window.first = min(window.first, winter - 14 * DAY)
    else:
        window.first = date(winter.year + 1, 3, 1)


def _for_today(s: Setting, window: Window) -> None:
    """Some inspections were left over for today: late ones, and ones that close this week.

    Never more than so many: where most contracts end on one day, the rest is done in time.
    """
    plant, today = window.plants[0], s.today
    if plant.left is not None or window.first > today:
        return
    ids, share, most = s.truth.late_system_ids, "left_late", max(2, s.size.sites * 0.013)
    if today <= window.limit < today + 7 * DAY:
        ids, share, most = s.truth.closing_system_ids, "left_closing", max(4, s.size.sites * 0.026)
    elif not today - 30 * DAY <= window.limit < today:
        return
    if len(ids) >= 2 and (len(ids) >= most or s.rng.random() >= s.truth_share(share)):
        return
    window.first = today + DAY
    ids += [p.system["id"] for p in window.plants]
    if share == "left_closing" and len(ids) <= max(3, s.size.sites // 140):
        window.locked_on = s.calendar.working_before(today - 4 * DAY)
