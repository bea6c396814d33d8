"""Made-up sheets of the invented Tarrow County for the tests of papers."""

from dataclasses import replace
from datetime import date

from servicedesk.papers.rows import (
    LoadItem,
    MapPlace,
    OwedWork,
    PastThing,
    RouteSheet,
    SheetJob,
    SheetStop,
)
from servicedesk.values.position import Position

DAY = date(2026, 10, 15)
LOCKOUT = (
    "Switch off, lock and tag pump, alarm AND air circuits (the alarm may be fed from another "
    "breaker), then prove dead with a meter before touching a wire."
)
NO_ENTRY = (
    "Never put your body into a tank, not even the head and shoulders. Tanks are confined spaces; "
    "gas can fell a person in seconds, and more than half of those killed in confined spaces were "
    "would-be rescuers (US NIOSH 86-110). Work from above with tools; entry only by a trained crew "
    "with permit, monitor, ventilation, retrieval."
)
OPEN_RISER = (
    "Never leave an open riser unattended, not for one minute. Keep children and pets away, stand "
    "off weak lids, refit and screw down every lid before leaving."
)
INSULATION = (
    "Insulation testing puts high voltage on the lead: disconnect boards and floats first, warn "
    "others, discharge afterwards."
)


def inspection(order, times, address, customer, at, **more):
    return SheetStop(
        order=order,
        arrival_min=times[0],
        leave_min=times[1],
        address=address,
        customer=customer,
        position=Position(*at),
        jobs=(SheetJob("inspection 3 of 3", more.pop("why", "nothing open")),),
        **more,
    )


def six_stops() -> RouteSheet:
    """The day of the picture."""
    stops = (
        inspection(
            1, (463, 518), "9 Tessing Road", "Pell", (29.9412, -97.0221),
            locality="Tessing", lids="Lids by the pear tree", bring=("2 tubs tablets",),
            why="window closes tomorrow; report to county by Oct 16",
            past=(PastThing(date(2026, 6, 11), "inspection 2, all as usual"),),
        ),
        inspection(
            2, (526, 577), "77 Brisk Ferry Road", "Ostler", (29.9702, -97.0402),
            locality="Brisk Ferry", access=("Gate hook, cattle",), bring=("test strips",),
            why="chlorine low twice, read it before and after",
            past=(
                PastThing(date(2026, 6, 12), "chlorine 0.1, tablets bridged, cleared"),
                PastThing(date(2026, 2, 10), "chlorine low, feeder cleaned"),
            ),
        ),
        inspection(
            3, (588, 640), "3 Heron Bank", "Varley", (29.9911, -97.0119), locality="Heron Bank",
            call_before="Ring first: 555-0144", visiting_hours="not before 9:30",
        ),
        SheetStop(
            order=4, arrival_min=660, leave_min=730, address="118 Dry Hollow Lane",
            customer="Quillan", locality="Dry Hollow",
            promise_from_min=660, promise_until_min=780,
            position=Position(30.0121, -96.9703),
            dogs="Two dogs, ring first", access=("Gate: ask office",),
            secrets=("Gate code 2580#",),
            jobs=(
                SheetJob(
                    "callback", "High-water alarm, 4th call in 14 months",
                    "Open the splice in the riser: never done here. Insulation-test both legs.",
                    write_up=True,
                ),
            ),
            past=(
                PastThing(date(2026, 6, 8), "high-water alarm, float swapped, quiet 128 days"),
                PastThing(date(2026, 2, 3), "high-water alarm, float swapped"),
                PastThing(date(2025, 10, 14), "spray head tied up, riser cracked"),
            ),
            owed=(OwedWork("West spray head tied up: finish it today", date(2025, 10, 14)),),
            cautions=(LOCKOUT, INSULATION),
            bring=("splice kit", "box", "4 connectors", "riser + nozzle"),
        ),
        inspection(
            5, (740, 791), "52 Ashpit Lane", "Dunmore", (29.9853, -96.9402), locality="Ashpit",
            lids="Lids behind the coop", bring=("filter", "60 L pump"),
        ),
        inspection(
            6, (800, 851), "1 Granary Row", "Attwell", (29.9502, -96.9811), locality="Millrace",
            access=("Key is at the office",), why="alarm test owed to tenant", place_guessed=True,
        ),
    )  # fmt: skip
    return RouteSheet(
        technician="Lena",
        day=DAY,
        company="Sallow Fork Onsite Care",
        phone="555-0100",
        printed_on=date(2026, 10, 14),
        printed_min=970,
        leave_home_min=435,
        home_min=858,
        road_min=66,
        stops=stops,
        truck="T1",
        load=(
            LoadItem("splice kit", "1"), LoadItem("junction box", "1"),
            LoadItem("sealed connectors", "4"), LoadItem("spray riser + nozzle", "1"),
            LoadItem("tablets", "2 tubs"), LoadItem("filter", "1"),
            LoadItem("60 L air pump", "1"), LoadItem("test strips"),
        ),
        cautions=(NO_ENTRY, OPEN_RISER),
        start=Position(29.9251, -96.9902),
        places=(
            MapPlace("Tessing", Position(29.9450, -97.0301)),
            MapPlace("Brisk Ferry", Position(29.9752, -97.0451)),
            MapPlace("Dry Hollow", Position(30.0071, -96.9653)),
            MapPlace("Millrace", Position(29.9552, -96.9762)),
        ),
        invented="Invented data",
    )  # fmt: skip


NAMES = (
    "Łódź, Ostrów",
    "ŽÕÕ Šternberk",
    "Ελλάδα Παπαδοπούλου",
    "Кириллица Щукин",
    "O’Brien & <Sons>",
)


def twenty_stops() -> RouteSheet:
    """A day too full, names in four scripts, two stops side by side."""
    stops = []
    for index in range(20):
        arrival = 420 + 29 * index
        lat = 29.93 + 0.011 * (index % 5) + 0.0001 * index
        lon = -97.03 + 0.017 * (index // 5)
        if index == 7:
            lat, lon = stops[6].position.lat_deg, stops[6].position.lon_deg
        stops.append(
            inspection(
                index + 1,
                (arrival, arrival + 20),
                f"{100 + 7 * index} Upper Sallow Fork Road",
                NAMES[index % 5],
                (lat, lon),
                locality="Tessing",
                lids="Lids under the mats",
                bring=("tablets",),
                promise_from_min=arrival - 15 if index % 6 == 1 else None,
                promise_until_min=arrival - 15 + 60 * (index % 4) if index % 6 == 1 else None,
            )
        )
    return replace(
        six_stops(),
        technician="Ελένη Żółkiewska", stops=tuple(stops), truck="T2", with_whom="Ada",
        leave_home_min=400, home_min=1015, road_min=190, cautions=(),
    )  # fmt: skip


def long_notes() -> RouteSheet:
    """Notes longer than a page, a word longer than a line."""
    sheet = six_stops()
    sentence = "The second riser stands behind the shed {n}, under the boards, mind the wire. "
    note = "".join(sentence.format(n=n) for n in range(1, 160))
    word = "W" + "rong" * 60 + "!"
    first = replace(sheet.stops[0], notes=(note, word), customer="Pell " * 40 + "LAST-NAME")
    second = replace(sheet.stops[1], address="77 Brisk Ferry Road " * 12 + "END-OF-ADDRESS")
    return replace(
        sheet, stops=(first, second, *sheet.stops[2:]), technician="Wilhelmina Featherstonehaugh " * 3,
        changed=("stop 3 taken out", "stop 4 promised 11:00 to 1:00"),
    )  # fmt: skip
