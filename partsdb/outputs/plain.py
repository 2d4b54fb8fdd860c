"""Results as JSON-ready data: the machine-readable twin of every answer.

Numbers are SI; money and times are texts (exact decimal, ISO 8601 with offset); a Source becomes its citation
and status.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from partsdb.money import Money


def plain(thing: Any) -> Any:
    """Dataclasses as objects, tuples as lists; nothing that JSON doesn't know.

    >>> plain((Money(12_500, "GBP"), None, 1.5))
    ['1.25 GBP', None, 1.5]
    """
    if isinstance(thing, Money):
        return str(thing)
    if is_dataclass(thing) and not isinstance(thing, type):
        return {f.name: plain(getattr(thing, f.name)) for f in fields(thing)}
    if isinstance(thing, Mapping):
        return {str(key): plain(value) for key, value in thing.items()}
    if isinstance(thing, list | tuple | set | frozenset):
        items = sorted(thing, key=repr) if isinstance(thing, set | frozenset) else thing
        return [plain(item) for item in items]
    if isinstance(thing, datetime | date | time):
        return thing.isoformat()
    if isinstance(thing, Decimal):
        return str(thing)
    if isinstance(thing, float) and not math.isfinite(thing):
        return None
    if isinstance(thing, str | int | float | bool) or thing is None:
        return thing
    return str(thing)
