"""What to take along: part kinds with the chance that the repair needs them."""

from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.causes import Ranking

# parts less likely than this stay at home unless they ride along anyway
_WORTH_A_PLACE = 0.05


def to_bring(ranking: Ranking, knowledge: Knowledge) -> tuple[tuple[str, float], ...]:
    """Part kinds and the chance that one is needed, likeliest first: the sum over the causes."""
    needed: dict[str, float] = {}
    for one in ranking.causes:
        for part in dict.fromkeys(knowledge.causes[one.cause].parts):
            needed[part] = needed.get(part, 0.0) + one.chance
    worth = [(part, chance) for part, chance in needed.items() if chance >= _WORTH_A_PLACE]
    return tuple(sorted(worth, key=lambda one: (-one[1], one[0])))
