"""A second opinion from the store: with history, without any, on paper and from the shell."""

import json

import pytest

from servicedesk.cli import main
from servicedesk.desk.second_opinion import second_opinion, site_named
from servicedesk.papers.picture import page_count
from servicedesk.trouble.case import Found
from servicedesk.values.trouble import Trouble
from tests.builders import a_call, a_site, a_system, system_of
from tests.desk.test_alerts import DAYS, a_bad_site, a_fleet


def test_a_site_never_seen_before_has_an_opinion_by_its_symptom_alone(file_desk):
    site = a_site(file_desk)

    told = second_opinion(file_desk, site_id=site.id, symptoms=["high-water-alarm"])

    assert (told.n_visits, told.n_cases) == (0, 0)
    assert sum(c.chance for c in told.answer.causes) + told.unlisted == pytest.approx(1)
    assert told.next_checks
    assert not told.sure
    assert told.why_not_sure
    assert any("Never put your body into a tank" in text for text in told.cautions)


def test_findings_and_history_move_it(file_desk):
    a_fleet(file_desk)
    site = a_bad_site(file_desk)

    told = second_opinion(file_desk, site_id=site.id)
    found = second_opinion(
        file_desk, site_id=site.id, findings=[Found("splice-look", "wet-or-green")]
    )

    assert told.n_visits == len(DAYS)
    assert "alarm-float-stuck-closed" not in {c.id for c in told.causes[:1]}
    chance = {c.id: c.chance for c in found.causes}
    assert chance["splice-shorted-alarm"] > {c.id: c.chance for c in told.causes}.get(
        "splice-shorted-alarm", 0
    )


def test_unknown_symptoms_and_sites_say_what_is_known(file_desk):
    site = a_site(file_desk)
    a_site(file_desk, "119 Dry Hollow Lane")

    with pytest.raises(Trouble, match=r"“moon” is not known.*high-water-alarm"):
        second_opinion(file_desk, site_id=site.id, symptoms=["moon"])
    with pytest.raises(Trouble, match="fits several sites"):
        site_named(file_desk, "Dry Hollow")
    with pytest.raises(Trouble, match="No site is known"):
        site_named(file_desk, "Nowhere")
    assert site_named(file_desk, "118 Dry Hollow Lane") == site.id
    assert site_named(file_desk, str(site.number)) == site.id


def test_the_shell_gives_lines_json_and_one_page(file_desk, tmp_path, capsys):
    a_fleet(file_desk)
    site = a_bad_site(file_desk)
    a_call(file_desk, site)
    line = ["causes", "--site", site.address, "--store", str(file_desk.store.place)]
    line += ["--today", "2026-10-14"]

    assert main(line) == 0
    told = capsys.readouterr().out
    assert "What it may be" in told
    assert "Never put your body into a tank" in told
    assert main([*line, "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert sum(one["chance"] for one in plain["causes"]) == pytest.approx(1, abs=1e-3)
    out = tmp_path / "opinion.pdf"
    assert main([*line, "--symptom", "air-alarm", "--out", str(out)]) == 0
    assert page_count(out.read_bytes()) == 1
    assert main([*line, "--out", str(tmp_path / "none" / "x.pdf")]) == 2
    assert main(["causes", "--store", str(file_desk.store.place)]) == 2


def test_the_shell_lists_alerts_of_a_store(file_desk, capsys):
    a_fleet(file_desk)
    a_bad_site(file_desk)
    line = ["alerts", "--store", str(file_desk.store.place), "--today", "2026-10-14"]

    assert main(line) == 1
    told = capsys.readouterr().out
    assert told.startswith("ACT  118 Dry Hollow Lane: 3 callbacks for high-water alarm")
    assert "Never tested: " in told
    assert main([*line, "--json"]) == 1
    (alert,) = json.loads(capsys.readouterr().out)["alerts"]
    assert (alert["level"], alert["state"], alert["n_calls"]) == ("act", "open", 3)
    # whoever reads only this list still reads what the first check can do to them, uncut
    assert alert["cautions"]
    for text in alert["cautions"]:
        assert told.split("Take care:")[1].count(text) == 1


@pytest.mark.parametrize(
    "option", [("--out", "x.csv"), ("--until", "2026-01-01"), ("--dial", "more")]
)
def test_what_goes_with_lists_alone_is_refused_of_a_store(file_desk, capsys, option):
    assert main(["alerts", "--store", str(file_desk.store.place), *option]) == 2
    assert "go with --calls and --sites" in capsys.readouterr().err


def test_of_several_systems_one_is_named_and_named_in_the_answer(file_desk, capsys):
    site = a_site(file_desk)
    house, guest = system_of(file_desk, site), a_system(file_desk, site, label="Guest house")
    a_call(file_desk, site, system_id=house.id, symptoms=["high-water-alarm"])
    a_call(file_desk, site, system_id=guest.id, symptoms=["no-chlorine"])
    line = ["causes", "--site", site.address, "--store", str(file_desk.store.place)]
    line += ["--today", "2026-10-14"]

    assert main(line) == 2
    told = capsys.readouterr().err
    assert "Guest house" in told
    assert "--system" in told
    assert main([*line, "--system", "Barn"]) == 2
    assert "Guest house" in capsys.readouterr().err
    assert main([*line, "--system", "guest HOUSE"]) == 0
    where, what = capsys.readouterr().out.splitlines()[:2]
    assert where == f"{site.address}, Guest house"
    assert "chlor" in what.lower()


def test_a_store_without_trouble_says_so(file_desk, capsys):
    assert main(["alerts", "--store", str(file_desk.store.place), "--today", "2026-10-14"]) == 0
    assert capsys.readouterr().out == "No alerts.\n"


def test_the_verbs_of_trouble_answer_on_both_databases(desk, capsys):
    a_fleet(desk)
    site = a_bad_site(desk)
    where = ["--store", str(desk.store.place), "--today", "2026-10-14", "--json"]

    assert main(["alerts", *where]) == 1
    (alert,) = json.loads(capsys.readouterr().out)["alerts"]
    assert (alert["address"], alert["level"]) == (site.address, "act")
    assert main(["causes", "--site", site.address, *where]) == 0
    assert json.loads(capsys.readouterr().out)["never_done"]
    assert main(["patterns", *where]) in (0, 1)
    assert json.loads(capsys.readouterr().out)["n_systems"] == 7
    assert main(["knowledge", "list", *where]) == 0
    assert json.loads(capsys.readouterr().out) == []
