"""V-belts as specifications, for the tests of the family."""

from __future__ import annotations

from partsdb.families.v_belt import FAMILY
from partsdb.model import Spec, Value, number, word

INCH = 0.0254


def belt(section: str, mark: float, *values: Value) -> Spec:
    """A belt by its section and number."""
    return Spec("v_belt", (word("section", section), number("mark", mark), *values))


def metric(section: str, inside: float, width: float) -> Spec:
    """A classical belt by its metric name [m]."""
    return Spec("v_belt", (word("section", section), number("length", inside), number("width_mark", width)))


def derived(spec: Spec, attribute: str) -> float:
    """An attribute of the completed specification [SI]."""
    value = FAMILY.complete(spec).num(attribute)
    assert value is not None
    return value
