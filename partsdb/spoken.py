"""A value as it is spoken."""

from __future__ import annotations

from partsdb.family import Family
from partsdb.model import Value


def value_text(family: Family, value: Value) -> str:
    """A value as it is spoken: "25 µF", "380 to 440 V", "run"."""
    attribute = family.attribute(value.attribute)
    if value.code is not None:
        text = attribute.codes.get(value.code, value.code)
    else:
        text = attribute.spoken(value.low, value.high)
    return f"{text} {value.qualifier}".strip()
