"""Frozen results as plain JSON values, for the shell's --json."""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from math import isfinite
from pathlib import Path
from typing import Any


def plain(value: Any) -> Any:
    """`value` with dataclasses as objects, days as ISO 8601 text, decimals as exact text.

    A number without end, such as a limit that is not reached, is null.
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, Mapping):
        return {str(plain(k)): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        items = sorted(value, key=str) if isinstance(value, set | frozenset) else value
        return [plain(item) for item in items]
    if isinstance(value, Enum):
        return plain(value.value)
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, Path | Decimal):
        return str(value)
    if isinstance(value, float) and not isfinite(value):
        return None  # JSON knows no infinity
    return value
