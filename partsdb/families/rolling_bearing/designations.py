"""What a basic designation says: series and bore code, with the type and boundary dimensions they stand for [m]."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from partsdb.model import Spec
from partsdb.source import Source
from partsdb.tables import load

MM = 1e-3
DIMENSIONS = ("bore", "outside", "width")


@dataclass(frozen=True, slots=True)
class Size:
    """One basic designation: series and bore code, with its type and boundary dimensions [m].

    width: T of a taper bearing, H of a thrust bearing. weight: relative frequency on old machines [-].
    """

    series: str
    bore_code: str
    type: str
    bore: float
    outside: float
    width: float
    weight: float
    source: Source
    type_source: Source


@dataclass(frozen=True, slots=True)
class BearingType:
    """What a type can do: life exponent [-], ways of axial load it takes (0, 1 or 2), whether it aligns itself, whether
    its play is adjusted while fitting; e, x, y: factors of the equivalent load, the largest y of the type [-]."""

    name: str
    title: str
    exponent: float
    ways: int
    aligning: bool
    adjusted: bool
    e: float
    x: float
    y: float


@cache
def sizes() -> tuple[Size, ...]:
    """Every basic designation the tables know."""
    dimensions, named = load("dimensions", __package__), load("series", __package__)
    return tuple(
        _size(series, row, dimensions.source_of(row), named.source_of(series))
        for series in named.rows
        for row in dimensions.rows
        if row["plan"] == series["plan"]
        and float(series["least_bore_mm"]) <= float(row["bore_mm"]) <= float(series["most_bore_mm"])
    )


def _size(series: Mapping[str, str], row: Mapping[str, str], source: Source, type_source: Source) -> Size:
    bore, outside, width = (float(row[f"{name}_mm"]) * MM for name in DIMENSIONS)
    # how common a bore is on machines, relative to 30 mm: a log-normal guess (judgement)
    weight = float(series["weight"]) * math.exp(-0.5 * (math.log(bore / (30 * MM)) / 0.8) ** 2)
    code = row["bore_code"]
    return Size(series["code"], code, series["type"], bore, outside, width, weight, source, type_source)


@cache
def size_of(series: str | None, bore_code: str | None) -> Size | None:
    """The size a basic designation names, or None.

    >>> size = size_of("62", "06")
    >>> round(size.bore / MM), round(size.outside / MM), round(size.width / MM)
    (30, 62, 16)
    """
    return next((s for s in sizes() if (s.series, s.bore_code) == (series, bore_code)), None)


@cache
def types() -> Mapping[str, BearingType]:
    """Every bearing type by name."""
    found = {}
    for row in load("types", __package__).rows:
        name, ways, exponent = row["code"], int(row["ways"]), float(row["exponent"])
        yes = (row["aligning"] == "yes", row["adjusted"] == "yes")
        factors = (float(row[factor] or 0) for factor in ("e", "x", "y"))
        found[name] = BearingType(name, row["title"], exponent, ways, *yes, *factors)
    return found


def type_of(spec: Spec) -> BearingType | None:
    """The type of a bearing, None when nobody knows it."""
    return types().get(spec.code("type") or "")
