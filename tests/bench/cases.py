"""How often `servicedesk causes` puts a cause first that a practised person would accept.

    python -m tests.bench.cases tests/data/cases/forty.json

Only what the case file format knows goes to the verb; the story, the accepted causes, the blunders
and the checks to come next stay here. Where the true cause is not in the list, "something not in
this list" must be among the first three and the program must not be sure of anything.
"""

import json
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

FORMAT_KEYS = ("id", "symptom", "findings", "site_has", "earlier_visits")
UNLISTED = "unlisted"


@dataclass(frozen=True, slots=True)
class Scored:
    """One case against its answer; `order` holds (id, chance) best first, "unlisted" among them."""

    case: dict[str, Any]
    order: list[tuple[str, float]]
    sure: bool
    next_checks: list[str]

    @property
    def leading(self) -> list[str]:
        return [cause for cause, _ in self.order[:3]]

    @property
    def accepted(self) -> set[str]:
        return set(self.case["accepted"])

    @property
    def in_three(self) -> bool:
        accepted = set(self.case.get("accepted_three", self.case["accepted"]))
        among = bool(accepted & set(self.leading))
        return among and not (self.sure and self.case.get("not_in_list", False))

    @property
    def first(self) -> bool:
        if self.case.get("not_in_list") and not self.sure and UNLISTED in self.leading:
            return True
        return self.leading[0] in self.accepted

    @property
    def strictly_first(self) -> bool:
        """Unlisted too must lead."""
        return self.leading[0] in self.accepted

    @property
    def wrongly_sure(self) -> bool:
        return self.sure and self.leading[0] not in self.accepted - {UNLISTED}

    @property
    def blunder(self) -> str:
        return next((b["why"] for b in self.case["blunder"] if b["cause"] == self.leading[0]), "")

    @property
    def next_accepted(self) -> bool:
        return bool(set(self.case.get("check_next", [])) & set(self.next_checks[:3]))


def asked(cases: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The cases as the verb may see them."""
    return [{"format": 1, **{k: case[k] for k in FORMAT_KEYS if k in case}} for case in cases]


def answers(cases: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """What the verb says to each case, in order. Raises where it ends with an error."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "cases.json"
        file.write_text(json.dumps(asked(cases)), encoding="utf-8")
        command = [sys.executable, "-m", "servicedesk", "causes", str(file), "--json"]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        sys.exit(f"the verb ended with {done.returncode}:\n{done.stdout}{done.stderr}")
    said = json.loads(done.stdout)
    found = said.get("cases", said) if isinstance(said, dict) else said
    found = found if isinstance(found, list) else [found]
    by_id = {one["id"]: one for one in found}
    return [by_id[case["id"]] for case in cases]


def scored(case: dict[str, Any], answer: dict[str, Any]) -> Scored:
    """A case set beside its answer; the chance of the unlisted takes its place in the order."""
    chances = {one["id"]: float(one["chance"]) for one in answer["causes"]}
    chances[UNLISTED] = float(answer["unlisted"])
    order = sorted(chances.items(), key=lambda pair: -pair[1])
    return Scored(case, order, bool(answer["sure"]), list(answer["next_checks"]))


def tell(one: Scored) -> None:
    """One case that went wrong, in a few lines."""
    place = next((n for n, (c, _) in enumerate(one.order, 1) if c in one.accepted), None)
    said = ", ".join(f"{cause} {chance:.2f}" for cause, chance in one.order[:4])
    print(f"{one.case['id']} ({one.case['symptom']})")
    print(f"    accepted: {', '.join(one.case['accepted'])}; best place {place or 'none'}")
    print(f"    said:     {said}{'; sure' if one.sure else ''}")
    if one.wrongly_sure:
        print("    sure, and wrong")
    if one.blunder:
        print(f"    BLUNDER:  {one.blunder}")


def main(arguments: list[str]) -> None:
    """Print every miss, then the shares."""
    (file,) = arguments
    cases = json.loads(Path(file).read_text(encoding="utf-8"))["cases"]
    all_scored = [scored(c, a) for c, a in zip(cases, answers(cases), strict=True)]
    for one in all_scored:
        if not one.first or not one.in_three or one.blunder or one.wrongly_sure:
            tell(one)
    n = len(all_scored)
    unlisted = [one for one in all_scored if one.case.get("not_in_list")]
    asked_next = [one for one in all_scored if one.case.get("check_next")]
    counts = {
        "accepted first": (sum(one.first for one in all_scored), n),
        "the same, unlisted must lead": (sum(one.strictly_first for one in all_scored), n),
        "accepted in the first three": (sum(one.in_three for one in all_scored), n),
        "blunders": (sum(bool(one.blunder) for one in all_scored), n),
        "sure and wrong": (sum(one.wrongly_sure for one in all_scored), n),
        "sure": (sum(one.sure for one in all_scored), n),
        "not in the list: unlisted first": (
            sum(one.leading[0] == UNLISTED for one in unlisted),
            len(unlisted),
        ),
        "accepted check among the next three": (
            sum(one.next_accepted for one in asked_next),
            len(asked_next),
        ),
    }
    for what, (k, of) in counts.items():
        print(f"{what}: {k} of {of} ({k / max(of, 1):.1%})")


if __name__ == "__main__":
    main(sys.argv[1:])
