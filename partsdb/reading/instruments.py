"""What a measurement says for each value an attribute could have."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import log, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from partsdb.family import Family, Field, Measurement, Row
from partsdb.model import Measured, Spec, Value

Floats = NDArray[np.float64]
_BLUNDER = 0.02  # a measurement that has nothing to do with the true value: wrong range, wrong part
_DECADES = 4  # chance: any value in four decades around what was found, evenly in its logarithm
_AGAINST = -0.5  # [nat]; judgement
FOREIGN = -3.0  # a measured attribute that this kind of part doesn't have [nat]


def bare(attribute: str) -> str:
    """An attribute's name without variant and qualifier."""
    return attribute.split("#")[0].split("@")[0]


def how_measured(family: Family, attribute: str) -> Measurement | None:
    """The family's way of measuring an attribute, or None."""
    return next((m for m in family.measurements if m.attribute == attribute), None)


def _chance(measured: Measured) -> float:
    """Density of the reading under chance: even in the logarithm; never finer than the tool."""
    scale = max(abs(measured.value), measured.sd, 1e-12)
    return 1 / (scale * _DECADES * log(10))


def _one_sided(off: Floats, sd: float, shift: float) -> Floats:
    """Density of off = worn (exponential with mean `shift`, upwards) + normal(sd): the usual convolution."""
    from math import erfc

    rate = 1 / shift
    z = (rate * sd - off / sd) / sqrt(2)
    exponent = np.clip(rate * (rate * sd * sd / 2 - off), -700, 50)
    return np.asarray(rate / 2 * np.exp(exponent) * np.array([erfc(min(max(x, -8), 25)) for x in z]))


def log_odds(values: Floats, measured: Measured, how: Measurement | None) -> Floats:
    """Log odds of the reading for each true value against chance [nat]; 0 where the value is unknown (NaN).

    With wear the reading is off to one side by an exponential shift of the family's scale; half of the parts
    are taken to be unworn.
    """
    known = np.isfinite(values)
    value = np.where(known, values, measured.value)
    sd = max(measured.sd, abs(measured.value) * 1e-6, 1e-15)
    off = measured.value - value
    density = np.exp(-0.5 * (off / sd) ** 2) / (sd * sqrt(2 * pi))
    if how is not None and how.worn and how.worn_sd > 0:
        side = 1.0 if how.worn == "above" else -1.0
        worn = _one_sided(side * off, sd, how.worn_sd * max(abs(measured.value), 1e-12))
        density = (density + worn) / 2
    chance = _chance(measured)
    odds = np.log((1 - _BLUNDER) * density / chance + _BLUNDER)
    return np.asarray(np.where(known, odds, 0.0))


def contradicts(odds: float) -> bool:
    """Whether a measurement speaks against a value, by its log odds: any number in four decades were likelier."""
    return odds < _AGAINST


def number_of(value: object) -> tuple[float, float]:
    """A row's value as (low, high); NaN for unknown and code words."""
    if isinstance(value, tuple):
        return float(value[0]), float(value[1])
    return (float(value),) * 2 if isinstance(value, int | float) else (float("nan"),) * 2


def nearest(ends: Floats, x: float) -> Floats:
    """The point of each (low, high) that is nearest to x."""
    return np.asarray(np.clip(x, ends[:, 0], ends[:, 1])) if len(ends) else np.empty(0)


def row_values(field: Field, row: Row) -> tuple[Value, ...]:
    """A row as the values of a specification (without sources)."""
    return tuple(
        as_value(name, value)
        for name, value in zip(field.attributes, row.values, strict=True)
        if value is not None
    )


def as_value(name: str, value: object) -> Value:
    """One value under an attribute's full name: "#n" is its variant, "@q" its qualifier."""
    head, _, qualifier = name.partition("@")
    attribute, _, variant = head.partition("#")
    if not variant and "#" in qualifier:
        qualifier, _, variant = qualifier.partition("#")
    n = int(variant or 0)
    if isinstance(value, str):
        return Value(attribute, code=value, qualifier=qualifier, variant=n)
    low, high = number_of(value)
    return Value(attribute, low, high, qualifier=qualifier, variant=n)


class _Identity:
    """A family and field as a cache key, compared by identity."""

    def __init__(self, family: Family, field: Field) -> None:
        self.family, self.field = family, field

    def __hash__(self) -> int:
        return hash((id(self.family), id(self.field)))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Identity) and self.family is other.family and self.field is other.field


@lru_cache(maxsize=256)
def _derived(key: _Identity) -> dict[str, Floats]:
    """Per derived attribute the (low, high) that each row of the field determines on its own, NaN if none."""
    found: dict[str, Floats] = {}
    for k, row in enumerate(key.field.rows):
        for value in key.family.derive(Spec(key.family.name, row_values(key.field, row))):
            if (
                value.code is None
                and value.low is not None
                and value.high is not None
                and not value.qualifier
            ):
                ends = found.setdefault(value.attribute, np.full((len(key.field.rows), 2), np.nan))
                ends[k] = value.low, value.high
    return found


def row_ends(family: Family, field: Field, rows: Sequence[Row], attribute: str) -> Floats | None:
    """(low, high) of an attribute per row, stated or derived; None when this field doesn't determine it."""
    for k, name in enumerate(field.attributes):
        if bare(name) == attribute and family.attribute(name).unit is not None:
            return np.array([number_of(row.values[k]) for row in rows]).reshape(len(rows), 2)
    ends = _derived(_Identity(family, field)).get(attribute)
    if ends is None:
        return None
    return np.concatenate([ends, np.full((len(rows) - len(ends), 2), np.nan)])


def row_odds(
    family: Family, field: Field, rows: Sequence[Row], measurements: Sequence[Measured]
) -> Floats | None:
    """Log odds of all measurements for each row; None when none of them bears on the field."""
    total: Floats | None = None
    for measured in measurements:
        ends = row_ends(family, field, rows, measured.attribute)
        if ends is None:
            continue
        odds = log_odds(nearest(ends, measured.value), measured, how_measured(family, measured.attribute))
        total = odds if total is None else total + odds
    return total


def foreign(family: Family, measurements: Sequence[Measured]) -> float:
    """Penalty for measured attributes that the family doesn't have [nat]."""
    names = {a.name for a in family.attributes}
    return FOREIGN * sum(m.attribute not in names for m in measurements)
