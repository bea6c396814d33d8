"""Heavy mathematics is loaded when patterns are worked out, never when the program starts."""

import subprocess
import sys

PROGRAM = """
import sys
import servicedesk.cli, servicedesk.desk.patterns, servicedesk.desk.patterns_cli
import servicedesk.words.pattern_words, servicedesk.trouble.trend, servicedesk.trouble.weibull
heavy = [name for name in ("scipy", "numpy") if name in sys.modules]
assert heavy == [], heavy
from servicedesk.trouble.rates import poisson_limits
poisson_limits(3)
assert "scipy.special" in sys.modules
assert "scipy.stats" not in sys.modules
"""


def test_scipy_is_loaded_only_when_it_is_needed():
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], capture_output=True, text=True, timeout=120, check=False
    )

    assert done.returncode == 0, done.stderr
