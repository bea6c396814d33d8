"""The company's own workbook, recalculated by a spreadsheet program after its figures changed."""

import shutil
import subprocess
from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import load_workbook

from servicedesk.desk.office import open_desk
from servicedesk.desk.renewals import renewals
from servicedesk.desk.renewals_sheet import renewals_book
from servicedesk.exchange.renewals_xlsx import CAP, FIRST_ROW, INDEX, MARGIN, letter_of
from servicedesk.renewals.price import Policy, next_price

SAMPLE = Path(__file__).parents[2] / "sample_db" / "small-60.store"
PROGRAM = shutil.which("soffice") or shutil.which("libreoffice")


def recalculated(folder, names):
    """All workbooks in one start of the program."""
    subprocess.run(
        [PROGRAM, f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to",
         "xlsx:Calc MS Excel 2007 XML", "--outdir", str(folder / "out"),
         *(str(folder / name) for name in names)],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    return [load_workbook(folder / "out" / name, data_only=True) for name in names]


def test_every_price_of_the_sample_s_year_is_ours_to_the_cent_as_it_is_and_changed(tmp_path):
    if PROGRAM is None:
        pytest.skip(
            "no spreadsheet program to recalculate with; mend: apt-get install libreoffice-calc"
        )
    shutil.copyfile(SAMPLE, tmp_path / "our.store")
    desk = open_desk(tmp_path / "our.store", today=date(2026, 10, 14))
    page = renewals(desk, since=date(2027, 1, 1), until=date(2028, 1, 1))
    book = load_workbook(BytesIO(renewals_book(desk, page)))
    as_it_is = page.pricing.policy
    changed = Policy(Decimal("0.041"), Decimal("0.27"), Decimal("0.125"), as_it_is.round_to_minor)
    desk.store.close()

    policies = {"as-it-is.xlsx": as_it_is, "changed.xlsx": changed}
    for name, policy in policies.items():
        sheet = book["Assumptions"]
        for cell, value in ((INDEX, policy.index), (MARGIN, policy.margin), (CAP, policy.cap)):
            sheet[cell.replace("$", "")].value = value
        book.save(tmp_path / name)
    books = recalculated(tmp_path, policies)
    for policy, made in zip(policies.values(), books, strict=True):
        shown = made["Renewals"]
        seen = 0
        for at, line in enumerate(page.lines, FIRST_ROW):
            if line.price is None:
                continue
            cost = line.next_year.total_minor if line.next_year else None
            hand = line.follower_price
            price = next_price(line.price.now_minor, cost, policy, hand_minor=hand)
            assert round(shown[f"{letter_of('computed')}{at}"].value * 100) == price.computed_minor
            if line.decision != "not_renew":
                assert round(shown[f"{letter_of('next')}{at}"].value * 100) == price.next_minor
            seen += 1
        assert seen > 40
        if policy is as_it_is:
            ours = sum(one.price.next_minor for one in page.lines
                       if one.price and one.decision != "not_renew")  # fmt: skip
            total = shown[f"{letter_of('next')}{FIRST_ROW + len(page.lines) + 1}"].value
            assert round(total * 100) == ours == page.totals.next_minor
