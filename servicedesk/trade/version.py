"""Which wording of the checks a finding was written under."""

from functools import cache
from hashlib import sha256

from servicedesk.trade.knowledge import shipped_files
from servicedesk.values.resources import resource


@cache
def checks_version() -> str:
    """Eight hex digits that change with any word of the checks and their results."""
    digest = sha256()
    for name in shipped_files("faults", "checks"):
        digest.update(resource("trade", "faults", "checks", name).read_bytes())
    return digest.hexdigest()[:8]
