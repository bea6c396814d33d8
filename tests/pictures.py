"""Makes the README's pictures from the sample: pages of the real window, and a route sheet.

    python -m tests.pictures resources/pictures

Every figure on them is computed; people and places are invented.
"""

import gc
import os
import sys
import tempfile
from datetime import UTC, date, datetime
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

DAY = date(2026, 10, 14)
NOW = datetime(2026, 10, 14, 14, 46, tzinfo=UTC)  # 10:46 am at the office
SIZE = (1440, 900)
# a page named otherwise than its place, and one that shows more of itself when it is higher
NAMES = {"sites": "site"}
HEIGHTS = {"sites": 1500}
TROUBLE_AT = "118 Dry Hollow Lane"
JOINTS = ("practice:splices-box:failures", "in tank/not sealed")


def main(folder: Path) -> None:
    """Write the pictures of the pages, of a site's file and of a route sheet into `folder`."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as work:
        place = Path(work) / "company.store"
        papers = _prepared(place, Path(work))
        _sheet(papers, folder)
        alert_id, site_id = _trouble(place)
        pages: list[tuple[object, ...]] = [
            ("today",), ("ahead",), ("rounds", DAY), ("patterns", *JOINTS), ("came_back", alert_id),
            ("sites", site_id), ("shelf",), ("year",),
        ]  # fmt: skip
        _pages(place, folder, pages)
    _shrink(folder)


def _shrink(folder: Path) -> None:
    """256 colors are enough for paper and screens; the wheel carries these files."""
    from PIL import Image

    for path in folder.glob("*.png"):
        with Image.open(path) as picture:
            few = picture.convert("RGB").quantize(256, dither=Image.Dither.NONE)
        few.save(path, optimize=True)


def _trouble(place: Path) -> tuple[int, int]:
    """Alert and site of the trouble whose splice was never opened."""
    from servicedesk.desk.alert_lines import alert_lines
    from servicedesk.desk.office import desk_at
    from servicedesk.records.store import open_store

    desk = desk_at(open_store(place, now=lambda: NOW), today=DAY)
    line = next(one for one in alert_lines(desk) if one.address == TROUBLE_AT)
    desk.store.close()
    return line.id, line.site_id or 0


def _prepared(place: Path, work: Path) -> list[Path]:
    """The sample planned and handed out for the day; its papers."""
    from servicedesk.desk.morning import morning
    from servicedesk.desk.office import desk_at
    from servicedesk.desk.sample import make_sample_at
    from servicedesk.records.store import open_store

    make_sample_at(place, size="small", seed=1, day=DAY)
    desk = desk_at(open_store(place, now=lambda: NOW), today=DAY)
    report = morning(desk, DAY, out=work / "papers")
    desk.store.close()
    return sorted(p for p in report.papers if p.name.startswith("route-"))


def _sheet(papers: list[Path], folder: Path) -> None:
    from servicedesk.papers.picture import page_png

    data = papers[0].read_bytes()
    (folder / "route-sheet.png").write_bytes(page_png(data, 1, scale=1.4))


def _pages(place: Path, folder: Path, pages: list[tuple[object, ...]]) -> None:
    from servicedesk.desk.front import FrontOffice
    from servicedesk.desk.office import desk_at
    from servicedesk.records.store import open_store
    from servicedesk.window.app import Windows, make_application
    from servicedesk.window.theme import Theme
    from servicedesk.window.work import Work

    app = make_application(())
    theme = Theme(app)
    theme.use("light")
    work = Work()
    desk = desk_at(open_store(place, now=lambda: NOW), who="Ines R.", today=DAY)
    windows = Windows(FrontOffice(desk), theme, work)
    window = windows.open_one()
    window.resize(*SIZE)
    window.show()
    for page in pages:
        name = str(page[0])
        window.resize(SIZE[0], HEIGHTS.get(name, SIZE[1]))
        window.shell.go(name, *page[1:])
        _until_quiet(work)
        window.grab().save(str(folder / f"{NAMES.get(name, name)}.png"))
    window.close()
    work.close()
    gc.collect()


def _until_quiet(work: object) -> None:
    """Wait until the workers had nothing to do for a while: the page is whole then."""
    from tests.looping import wait_ms

    idle = 0
    for _ in range(2400):
        wait_ms(50)
        idle = 0 if work.is_busy else idle + 1  # type: ignore[attr-defined]
        if idle >= 12:
            return


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "resources/pictures"))
