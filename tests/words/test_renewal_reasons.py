"""Every reason and decision about a renewal has words without a code in them."""

import ast
import re
from decimal import Decimal
from pathlib import Path

import pytest

from servicedesk.renewals import price
from servicedesk.values.reason import Reason
from servicedesk.words.formats import Formats
from servicedesk.words.reasons import known_codes, reason_text
from servicedesk.words.renewal_reasons import RENEWAL_TELLERS, decision_text

ROOM = Path(price.__file__).parent
VALUES = {
    "minor": 1250, "currency": "USD", "n": 2, "months": 7, "now": Decimal("136.0"),
    "before": Decimal("129.9"), "percent": Decimal("2.8"), "calls": 0.28,
}  # fmt: skip


@pytest.mark.parametrize("code", sorted(RENEWAL_TELLERS))
def test_each_reason_is_a_sentence(code):
    text = reason_text(Reason.of(code, **VALUES), Formats(), {"currency": "USD"})

    assert text
    assert not re.search(r"[a-z]_[a-z]|[{}]", text)


def test_every_code_of_the_calculations_has_words():
    texts = [path.read_text(encoding="utf-8") for path in ROOM.glob("*.py")]
    found = {
        node.value
        for text in texts
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and re.fullmatch(r"(price|renewal)_[a-z_]+", node.value)
    }

    assert len(found) >= 12
    assert found - known_codes() == set()


def test_a_step_says_its_sum_with_a_sign():
    less = Reason.of("price_cap", minor=-1250)

    assert reason_text(less, Formats(), {"currency": "USD"}) == "Cap on a rise \u2212$12.50"


def test_every_decision_has_words():
    codes = (
        price.RAISE, price.CALL_FIRST, price.RENEW, price.AFTER_VISIT, price.NOT_RENEW,
        price.RENEWED,
    )  # fmt: skip

    assert len({decision_text(code) for code in codes}) == 6
