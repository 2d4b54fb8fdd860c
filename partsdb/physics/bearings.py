"""Rolling bearings: what a basic designation says, rating life, seats and internal clearance.

SI inside: lengths [m], forces [N], speeds [rad/s]; lives in hours where the name says so. Tables:
bearing_dimensions, bearing_series, bearing_types, bearing_clearance, bearing_seats, bearing_rules.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from partsdb.physics.rules import Rule, rules
from partsdb.source import Source
from partsdb.tables import load

MM = 1e-3
MICRON = 1e-6
WEIBULL_SLOPE = 1.5  # ISO 281 takes 1.5 for its reliability factors up to 99 %
STEEL_EXPANSION = 12e-6  # [1/K]
ISO_281 = Source("ISO 281:2007, basic rating life L10 = (C/P)^p", "verified")
WAYS = ("none", "one way", "both ways")  # of axial load, least first


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
class Kind:
    """What a bearing type can do: life exponent [-], axial ways, whether it aligns itself or comes apart;
    e, x, y: factors of the equivalent load, the largest y of the type [-], None where it carries none."""

    name: str
    title: str
    exponent: float
    axial: str
    aligning: bool
    separable: bool
    e: float | None
    x: float
    y: float
    source: Source

    @property
    def ways(self) -> int:
        """How many ways it takes axial load: 0, 1 or 2."""
        return WAYS.index(self.axial)


@dataclass(frozen=True, slots=True)
class Seat:
    """Limits of the usual seats, from the nominal diameter [m]: journal k5, housing bore H7."""

    journal: tuple[float, float]
    housing: tuple[float, float]
    journal_source: Source
    housing_source: Source


def rule(name: str) -> Rule:
    """The rule of that name in tables/bearing_rules.csv. Raises KeyError."""
    return rules("bearing_rules")[name]


def _commonness(bore: float) -> float:
    """How common a bore is on machines, relative to 30 mm [-]: a log-normal guess (judgement)."""
    return math.exp(-0.5 * (math.log(bore / (30 * MM)) / 0.8) ** 2)


@cache
def sizes() -> tuple[Size, ...]:
    """Every basic designation the tables know."""
    dimensions = load("bearing_dimensions")
    plans: dict[str, list[Mapping[str, str]]] = {}
    for row in dimensions.rows:
        plans.setdefault(row["plan"], []).append(row)
    series_table = load("bearing_series")
    found = []
    for series in series_table.rows:
        low, high = float(series["least_bore_mm"]), float(series["most_bore_mm"])
        for row in plans[series["plan"]]:
            if not low <= float(row["bore_mm"]) <= high:
                continue
            bore, outside, width = (float(row[c]) * MM for c in ("bore_mm", "outside_mm", "width_mm"))
            found.append(
                Size(
                    series["series"],
                    row["bore_code"],
                    series["type"],
                    bore,
                    outside,
                    width,
                    float(series["weight"]) * _commonness(bore),
                    dimensions.source_of(row),
                    series_table.source_of(series),
                )
            )
    return tuple(found)


@cache
def other_series() -> Mapping[str, str]:
    """Series -> the other number it goes by (618 -> 68)."""
    return {row["series"]: row["also"] for row in load("bearing_series").rows if row["also"]}


@cache
def _by_designation() -> Mapping[tuple[str, str], Size]:
    return {(s.series, s.bore_code): s for s in sizes()}


def size_of(series: str | None, bore_code: str | None) -> Size | None:
    """The size a basic designation names, or None.

    >>> size = size_of("62", "06")
    >>> round(size.bore / MM), round(size.outside / MM), round(size.width / MM)
    (30, 62, 16)
    """
    return _by_designation().get((series or "", bore_code or ""))


@cache
def kinds() -> Mapping[str, Kind]:
    """Every bearing type by name."""
    table = load("bearing_types")
    return {
        row["type"]: Kind(
            row["type"],
            row["title"],
            float(row["exponent"]),
            row["axial"],
            row["aligning"] == "yes",
            row["separable"] == "yes",
            float(row["e"]) if row["e"] else None,
            float(row["x"] or 0),
            float(row["y"] or 0),
            table.source_of(row),
        )
        for row in table.rows
    }


def _spans(row: Mapping[str, str], diameter: float) -> bool:
    """Whether a table row "over ... up to and including ..." holds for the diameter [m]."""
    low, high = (float(row[c]) * MM for c in ("over_mm", "up_to_mm"))
    return low * (1 + 1e-9) < diameter <= high * (1 + 1e-9)


def clearance_band(type_: str, bore: float, class_: str) -> tuple[float, float, Source] | None:
    """Radial clearance [m] of an unfitted bearing with cylindrical bore: least, most, source (ISO 5753-1).

    None where the tables have no row (other types, sizes outside).

    >>> low, high, _ = clearance_band("deep groove ball", 0.030, "C3")
    >>> round(low / MICRON), round(high / MICRON)
    (13, 28)
    """
    table = load("bearing_clearance")
    kind = "cylindrical roller" if type_.startswith("cylindrical roller") else type_
    for row in table.rows:
        if (row["kind"], row["class"]) == (kind, class_) and _spans(row, bore):
            return float(row["least_um"]) * MICRON, float(row["most_um"]) * MICRON, table.source_of(row)
    return None


def seat(diameter: float) -> Seat | None:
    """Limits of k5 and H7 at a diameter [m], as sizes [m]; None outside 3-250 mm (ISO 286-2)."""
    table = load("bearing_seats")
    for row in table.rows:
        if _spans(row, diameter):
            low, high, housing = (float(row[c]) * MICRON for c in ("k5_least_um", "k5_most_um", "h7_most_um"))
            return Seat(
                (diameter + low, diameter + high),
                (diameter, diameter + housing),
                Source(table.source.citation, "from memory"),
                table.source,
            )
    return None


def equivalent_load(type_: str, radial: float, axial: float) -> float | None:
    """Equivalent dynamic load P [N] = max(Fr, X·Fr + Y·Fa) with the type's largest Y; thrust: P = Fa.

    None when the type can't carry the load at all: axial on N and NU, radial on a thrust bearing.
    Source: ISO 281 and the table's notes; on the safe side wherever Y depends on the size.

    >>> equivalent_load("deep groove ball", 1000.0, 0.0)
    1000.0
    >>> equivalent_load("cylindrical roller NU", 1000.0, 10.0) is None
    True
    """
    kind = kinds()[type_]
    if type_.startswith("thrust"):
        return axial if radial <= 0 else None
    if kind.e is None:
        return radial if axial <= 0 else None
    if radial > 0 and axial / radial <= kind.e:
        return radial
    return max(radial, kind.x * radial + kind.y * axial)


def rating_life(rating: float, load: float, exponent: float) -> float:
    """Basic rating life L10 in million revolutions, 90 % survive it: (C/P)^p (ISO 281).

    >>> rating_life(30e3, 5e3, 3)
    216.0
    """
    return float((rating / load) ** exponent)


def life_hours(rating: float, load: float, exponent: float, speed: float) -> float:
    """Basic rating life L10h [h] at a speed [rad/s] (ISO 281).

    >>> life_hours(30e3, 5e3, 3, 1500 * 2 * math.pi / 60)
    2400.0
    """
    return rating_life(rating, load, exponent) * 1e6 * 2 * math.pi / speed / 3600


def rating_needed(load: float, hours: float, speed: float, exponent: float) -> float:
    """The least dynamic rating C [N] that gives `hours` of L10 life: the inverse of `life_hours`."""
    return float(load * (hours * 3600 * speed / (2 * math.pi) / 1e6) ** (1 / exponent))


def median_life(l10h: float, slope: float = WEIBULL_SLOPE) -> float:
    """The life half of them reach [h]: L50 = L10·(ln 0.5 / ln 0.9)^(1/slope).

    >>> round(median_life(1000.0))
    3511
    """
    return float(l10h * (math.log(0.5) / math.log(0.9)) ** (1 / slope))


def speed_factor(bore: float, speed: float) -> float:
    """d·n, bore in millimetres times revolutions a minute: the usual measure for grease and seals.

    >>> round(speed_factor(0.030, 1500 * 2 * math.pi / 60))
    45000
    """
    return bore / MM * speed * 60 / (2 * math.pi)


def heating(bore: float, play: float = 10 * MICRON) -> float | None:
    """Temperature rise [K] that lets the inner ring slide on to the largest k5 journal with `play` [m] to spare.

    The ring's own bore tolerance (0 to -12 µm up to 50 mm, more above: ISO 492, from memory) is counted as
    grade 5 of the diameter.
    """
    limits = seat(bore)
    if limits is None:
        return None
    tight = limits.journal[1] - bore
    return (tight + (limits.journal[1] - limits.journal[0]) + play) / (STEEL_EXPANSION * bore)
