"""Load and life, seats and internal clearance, and the figures that the texts name.

SI inside: lengths [m], forces [N], speeds [rad/s]; lives in hours where the name says so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from partsdb.duty import Duty, number
from partsdb.families.rolling_bearing.designations import MM, type_of, types
from partsdb.kit import Figures, Place
from partsdb.model import Spec
from partsdb.physics.rules import rules
from partsdb.source import Source
from partsdb.tables import load

MICRON = 1e-6
WEIBULL_SLOPE = 1.5  # ISO 281 takes 1.5 for its reliability factors up to 99 %
STEEL_EXPANSION = 12e-6  # [1/K]
RULES = rules("rules", __package__)
ISO_281 = Source("ISO 281:2007, basic rating life L10 = (C/P)^p", "verified")


def clearance_band(type_: str, bore: float, class_: str) -> tuple[float, float, Source] | None:
    """Radial clearance [m] of an unfitted bearing with cylindrical bore: least, most, source (ISO 5753-1).

    None where the tables have no row (other types, sizes outside).

    >>> low, high, _ = clearance_band("deep groove ball", 0.030, "C3")
    >>> round(low / MICRON), round(high / MICRON)
    (13, 28)
    """
    kind = "cylindrical roller" if type_.startswith("cylindrical roller") else type_
    return _band("clearance", bore, {"kind": kind, "class": class_})


def seat(diameter: float, fit: str) -> tuple[float, float, Source] | None:
    """The usual seat, "k5" on a journal or "H7" in a housing: smallest and largest size [m] at a nominal diameter [m],
    with the source; None outside 3-250 mm (ISO 286-2).

    >>> [round(size / MM, 3) for size in seat(0.030, "k5")[:2]]
    [30.002, 30.011]
    """
    band = _band("seats", diameter, {"fit": fit})
    return band and (diameter + band[0], diameter + band[1], band[2])


def _band(name: str, size: float, key: Mapping[str, str]) -> tuple[float, float, Source] | None:
    """Least and most [m] that a table says at a size [m], with the row's source."""
    table = load(name, __package__)
    for row in table.spanning(size):
        if key.items() <= row.items():
            return float(row["least_um"]) * MICRON, float(row["most_um"]) * MICRON, table.source_of(row)
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
    kind = types()[type_]
    if type_.startswith("thrust"):
        return axial if radial <= 0 else None
    if kind.ways == 0:
        return radial if axial <= 0 else None
    if radial > 0 and axial / radial <= kind.e:
        return radial
    return max(radial, kind.x * radial + kind.y * axial)


def load_on(spec: Spec, duty: Duty) -> float | None:
    """Equivalent load [N] of the duty on this type; None when the radial load isn't known or can't be carried.

    An unknown axial load counts as none only for types that carry none.
    """
    kind, radial, axial = type_of(spec), number(duty, "radial_load"), number(duty, "axial_load")
    if kind is None:
        return None
    if kind.name.startswith("thrust"):
        return axial if axial else None
    if radial is None or (axial is None and kind.ways > 0):
        return None
    return equivalent_load(kind.name, radial, axial or 0.0)


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


def median_life(l10h: float) -> float:
    """The life half of them reach [h]: L50 = L10·(ln 0.5 / ln 0.9)^(1/slope), by Weibull's law.

    >>> round(median_life(1000.0))
    3511
    """
    return float(l10h * (math.log(0.5) / math.log(0.9)) ** (1 / WEIBULL_SLOPE))


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
    journal = seat(bore, "k5")
    if journal is None:
        return None
    low, high, _ = journal
    return (high - bore + (high - low) + play) / (STEEL_EXPANSION * bore)


def figures(place: Place) -> Figures:
    """What the texts of words.toml name, worked out for a bearing and its place; None where it isn't known. Every rule
    of rules.csv is one too."""
    was, kind = place.was, type_of(place.was)
    bore, outside, shaft = was.num("bore"), was.num("outside"), place.number("shaft_diameter")
    loose = shaft is not None and bore is not None and shaft < bore - RULES["seat_loose"].value
    rise = heating(bore) if bore is not None else None
    band = clearance_band(was.code("type") or "", bore or 0.0, was.code("clearance") or "")
    hottest = "mount_hot" if was.code("closure") == "open" else "mount_hot_capped"
    return {
        **{name: rule.said for name, rule in RULES.items()},
        "journal": _limits_of(bore, "k5"),
        "housing": _limits_of(outside, "H7"),
        "play": _micrometres(band) if band else None,
        "rise": f"{rise:.0f} K" if rise is not None else None,
        "hottest": RULES[hottest].said,
        "seat": "loose" if loose else None,
        "setting": "while fitting" if kind and kind.adjusted else None,
    }


def _micrometres(band: tuple[float, float, Source]) -> str:
    low, high, source = band
    return f"{low / MICRON:.0f} to {high / MICRON:.0f} µm ({source.status}, ISO 5753-1)"


def _limits_of(diameter: float | None, fit: str) -> str | None:
    found = seat(diameter, fit) if diameter is not None else None
    if found is None:
        return None
    low, high, source = found
    return f"{low / MM:.3f} to {high / MM:.3f} mm ({fit}, {source.status})"
