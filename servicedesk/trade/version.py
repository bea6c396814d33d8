"""Which wording of the fault knowledge something was found, raised or said under."""

import json
from collections.abc import Iterable, Mapping
from functools import cache
from hashlib import sha256
from typing import Any

from servicedesk.trade.knowledge import shipped_files
from servicedesk.values.resources import resource

_FOLDERS = ((), ("checks",), ("causes",))
_DIGITS = 8


@cache
def shipped_version() -> str:
    """Eight hex digits that change with any word of the fault knowledge of the program."""
    digest = sha256()
    for folder in _FOLDERS:
        for name in shipped_files("faults", *folder):
            digest.update("/".join((*folder, name)).encode())
            digest.update(resource("trade", "faults", *folder, name).read_bytes())
    return digest.hexdigest()[:_DIGITS]


def version_with(own: Iterable[tuple[str, Mapping[str, Any]]]) -> str:
    """The same with the company's own entries, given as kind and body; their order is nothing.

    Without own entries it is that of the program.
    """
    entries = sorted(json.dumps([kind, dict(body)], sort_keys=True) for kind, body in own)
    if not entries:
        return shipped_version()
    text = "\n".join((shipped_version(), *entries))
    return sha256(text.encode()).hexdigest()[:_DIGITS]
