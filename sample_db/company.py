"""The company's own rows: details, calendar, technicians, trucks, licenses, firms, authority."""

from datetime import date, timedelta

from sample_db.names import OFFICE, phone, technician
from sample_db.rows import TIME_ZONE, add_months, us_holidays
from sample_db.state import Setting, Tech
from sample_db.world import degrees

INVENTED = "Invented sample: Tarrow County and Sallow Fork Onsite Care do not exist."


def make_company(s: Setting, note: str) -> None:
    """Company, calendar, authority, firms, technicians, office."""
    lat, lon = degrees((0.05, 0.1))
    s.rows.add(
        "company", uid="", name="Sallow Fork Onsite Care", address="2 Market Street, Wrenlock",
        phone="201 555-0100", email="office@example.org", region="Tarrow County (invented)",
        time_zone=TIME_ZONE, day_from_min=450, day_until_min=1020, response_hours=48,
        unpaid_limit_minor=60000, lat_deg=lat, lon_deg=lon, letterhead="Sallow Fork Onsite Care",
        price_policy={"index_percent": 2.8, "margin_percent": 18, "cap_percent": 9},
        invented_note=note or INVENTED,
    )  # fmt: skip
    for year in range(s.begin.year, s.today.year + 3):
        for day, name in us_holidays(year):
            s.rows.add("holiday", day=day, name=name)
            s.calendar.holidays.add(day)
    _others(s)
    for i in range(s.size.technicians):
        s.techs.append(_technician(s, i))
    _upcoming_days_off(s)
    _on_call(s)
    s.rows.add("office_user", name=OFFICE, role="office")
    s.rows.add("office_user", name="Maud Sallows", role="owner")
    for tech in s.techs:
        row = tech.row
        s.rows.add(
            "office_user", name=row["short_name"], role="technician", technician_id=row["id"]
        )


def _others(s: Setting) -> None:
    county = s.rows.add(
        "authority", name="Tarrow County Environmental Health (invented)", office="Wrenlock",
        takes_reports="email", email="onsite@example.org", phone="201 555-0190",
        address="1 Bell Street, Wrenlock",
        inspectors=[{"name": "Hugh Mundy", "phone": "201 555-0191"}],
    )  # fmt: skip
    s.authority_id = county["id"]
    s.rows.add(
        "company_license", number="TC-MP-0031", license_class="maintenance provider",
        authority_id=county["id"], valid_from=add_months(s.today, -30),
        valid_until=add_months(s.today, 6),
    )  # fmt: skip
    soon = s.today + timedelta(days=24)
    for name, kinds, until in (
        ("Tarrow Pumping (invented)", ["hauler"], add_months(s.today, 14)),
        ("Bell Street Electric (invented)", ["electrician"], soon),
        ("Brackwater Site Works (invented)", ["installer"], add_months(s.today, 9)),
        ("Fork and Fen Installers (invented)", ["installer"], add_months(s.today, 20)),
        ("Wrenlock Water Laboratory (invented)", ["laboratory"], None),
        ("Harbor Supply (invented)", ["supplier"], None),
        ("Long Mere Electric Supply (invented)", ["supplier"], None),
    ):
        n = len(s.rows.tables["firm"])
        s.rows.add(
            "firm", name=name, kinds=kinds, phone=phone(60000 + n)[1], license_until=until,
            email=f"firm{n}@example.org",
        )  # fmt: skip


def _technician(s: Setting, i: int) -> Tech:
    first, surname = technician(i)
    truck = s.rows.add("truck", name=f"T{i + 1}", plate=f"TC {310 + i}")
    skills = ["inspection", "callback", "repair"]
    if i % 3 != 2:
        skills.append("electrical")
    home = degrees(s.rng.choice(s.world.plots).at) if i >= 3 and i % 2 else None
    row = s.rows.add(
        "technician", name=f"{first} {surname}", short_name=first, phone=phone(60100 + i)[1],
        email=f"{first.split()[0].lower()}{i}@example.org", base="home" if home else "office",
        home_lat_deg=home[0] if home else None, home_lon_deg=home[1] if home else None,
        day_from_min=450, day_until_min=1020, skills=skills, truck_id=truck["id"],
        from_on=s.begin - timedelta(days=400),
    )  # fmt: skip
    # the second one's license runs out soon: a thing to look at each morning
    left = 19 if i == 1 else 120 + 97 * i
    s.rows.add(
        "technician_license", technician_id=row["id"], license_class="registered technician",
        number=f"TC-RT-{140 + i}", valid_from=add_months(s.today, -23),
        valid_until=s.today + timedelta(days=left),
    )  # fmt: skip
    tech = Tech(row)
    for year in range(s.begin.year, s.today.year + 1):
        for month in (2 + i % 3, 7 + i % 2):
            start = date(year, month, 1 + s.rng.randrange(20))
            _day_off(s, tech, start, start + timedelta(days=7), "vacation")
    return tech


def _day_off(s: Setting, tech: Tech, start: date, until: date, why: str) -> None:
    # everybody is there today and in the days around it
    if start < s.today + timedelta(days=8) and until > s.today - timedelta(days=8):
        return
    if start < s.begin:
        return
    tech.off.append((start, until))
    s.rows.add("day_off", technician_id=tech.row["id"], from_on=start, until_on=until, why=why)


def _upcoming_days_off(s: Setting) -> None:
    day = s.calendar.working(s.today + timedelta(days=9))
    _day_off(s, s.techs[1], day, day + timedelta(days=1), "training")
    _day_off(s, s.techs[0], day + timedelta(days=20), day + timedelta(days=27), "vacation")


def _on_call(s: Setting) -> None:
    monday = s.today - timedelta(days=s.today.weekday() + 28)
    for week in range(12):
        tech = s.techs[week % len(s.techs)]
        start = monday + timedelta(days=7 * week)
        s.rows.add(
            "on_call", technician_id=tech.row["id"], from_on=start,
            until_on=start + timedelta(days=7),
        )  # fmt: skip
