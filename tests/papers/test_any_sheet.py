"""Whatever an office writes: everything is on the page, in full, and nothing on anything else."""

from dataclasses import replace
from datetime import date

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from made_up import six_stops

from servicedesk.papers.fonts import clean
from servicedesk.papers.layout import PAGE_SIZES
from servicedesk.papers.route_sheet import SheetOptions, sheet_pages
from servicedesk.papers.rows import LoadItem, OwedWork, PastThing, PickItem, SheetJob, SheetStop
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box, TextBox
from servicedesk.words.formats import Formats

LETTERS = st.sampled_from("abcdefgh WilmM.,-ŁźΩЖ0123456789\n  ")
SHORT = st.text(LETTERS, max_size=60)
LONG = st.text(LETTERS, max_size=900)
FEW = st.lists(SHORT, max_size=3).map(tuple)
DAY = st.dates(date(2000, 1, 1), date(2030, 1, 1))


@st.composite
def stops(draw):
    count = draw(st.integers(0, 5))
    minute, result = 400, []
    for order in range(1, count + 1):
        arrival = minute + draw(st.integers(0, 60))
        start = arrival + draw(st.sampled_from([0, 0, 25]))
        minute = start + draw(st.integers(5, 120))
        promise = draw(st.sampled_from([(None, None), (400, 900), (None, 500), (700, None)]))
        place = draw(st.none() | st.tuples(st.floats(29, 31), st.floats(-98, -96)))
        result.append(
            SheetStop(
                order=order,
                arrival_min=arrival,
                start_min=start,
                leave_min=minute,
                address=draw(SHORT),
                customer=draw(SHORT),
                locality=draw(SHORT),
                promise_from_min=promise[0],
                promise_until_min=promise[1],
                jobs=(SheetJob(draw(SHORT), draw(LONG), draw(LONG), draw(st.booleans())),),
                access=draw(FEW),
                lids=draw(SHORT),
                dogs=draw(SHORT),
                visiting_hours=draw(SHORT),
                call_before=draw(SHORT),
                place_guessed=draw(st.booleans()),
                position=Position(*place) if place else None,
                past=tuple(PastThing(draw(DAY), text) for text in draw(FEW)),
                owed=tuple(OwedWork(text, draw(st.none() | DAY)) for text in draw(FEW)),
                notes=(draw(LONG),),
                cautions=draw(FEW),
                bring=draw(FEW),
                secrets=draw(FEW),
            )
        )
    return tuple(result), minute + 30


@settings(
    max_examples=40,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(
    day=stops(),
    page=st.sampled_from(["letter", "a4"]),
    name=SHORT,
    company=LONG,
    load=FEW,
    picks=FEW,
)
def test_any_sheet_holds_everything_inside_the_page(day, page, name, company, load, picks):
    round_stops, home = day
    sheet = replace(
        six_stops(), stops=round_stops, technician=name, company=company[:200], home_min=home,
        leave_home_min=380, load=tuple(LoadItem(text, "2") for text in load),
        picks=tuple(PickItem(2, text, "A-1", text) for text in picks), pick_chance="61% now",
    )  # fmt: skip
    pages = sheet_pages(sheet, Formats(), SheetOptions(page, secrets=True))
    width, height = PAGE_SIZES[page]
    paper = Box(20, 20, width - 40, height - 36)
    for shapes in pages:
        texts = [s for s in shapes if isinstance(s, TextBox)]
        for shape in shapes:
            assert paper.holds(shape.bounds, 0.5), shape
        inked = [s.box.grown(-s.font.size * 0.17) for s in texts if s.text.strip()]
        for index, one in enumerate(inked):
            assert not any(one.touches(other) for other in inked[index + 1 :])
    said = "".join("".join(s.text.split()) for p in pages for s in p if isinstance(s, TextBox))
    for text in picks:
        assert "".join(clean(f"2 x {text} (A-1)").split()) in said
    for stop in round_stops:
        wanted = [stop.address, stop.customer, stop.lids, stop.dogs, *stop.notes, *stop.cautions]
        wanted += [*stop.access, *(stop.secrets or ()), stop.jobs[0].why, stop.jobs[0].first_check]
        for part in wanted:
            assert "".join(clean(part).split()) in said
