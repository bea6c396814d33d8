"""A supplier's price list among lists of sites is told apart, with the way to bring it in."""

import pytest

from servicedesk.desk.bring_in import look_at
from servicedesk.values.trouble import Trouble
from tests.desk.price_lists import write_list

SITES = """Number,Address,Owner,Price,Details
7,1 Oak Lane,Ann Pell,300,gate
8,2 Elm Road,Bo Varley,320,dog
"""
BARE = """Number,Cost,Notes
7,300,gate
"""


def test_a_price_list_is_pointed_to_the_shelf_and_nothing_becomes_a_site(desk, tmp_path):
    file = tmp_path / "prices.csv"
    write_list(file, n=40, n_faults=4, known={})

    with pytest.raises(Trouble) as met:
        look_at(desk, file)
    assert (
        str(met.value.what)
        == "\u201cprices.csv\u201d is a supplier's price list, not a list of sites."
    )
    assert "Shelf" in str(met.value.do)


@pytest.mark.parametrize("text", [SITES, BARE])
def test_lists_of_sites_and_what_may_be_one_stay_what_they_are(desk, tmp_path, text):
    file = tmp_path / "list.csv"
    file.write_text(text, encoding="utf-8")

    assert look_at(desk, file).rows


def test_who_says_what_columns_mean_is_believed(desk, tmp_path):
    file = tmp_path / "prices.csv"
    write_list(file, n=5, n_faults=0, known={})

    assert look_at(desk, file, corrections={"Description": "address"}).rows
