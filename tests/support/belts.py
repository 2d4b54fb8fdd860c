"""V-belts as specifications, for the tests of the family."""

from __future__ import annotations

from partsdb.families.v_belt import FAMILY
from partsdb.model import Spec, Value, word

INCH = 0.0254


def belt(section: str, mark: float, *values: Value) -> Spec:
    """A belt by its section and number."""
    return Spec("v_belt", (word("section", section), word("mark", f"{mark:g}"), *values))


def metric(name: str) -> Spec:
    """A classical belt by its metric name."""
    return Spec("v_belt", (word("metric_mark", name),))


def derived(spec: Spec, attribute: str) -> float:
    """An attribute of the completed specification [SI]."""
    value = FAMILY.complete(spec).num(attribute)
    assert value is not None
    return value
