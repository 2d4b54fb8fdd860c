"""Rotary shaft lip seals: sizes, fits, lip materials and lip speed.

SI inside: lengths [m], speeds [rad/s] and [m/s], temperatures [K], pressures [Pa]. Tables: seal_sizes, seal_fits,
seal_materials, seal_rules.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from partsdb.physics.rules import Rule, rules
from partsdb.quantities import to_si
from partsdb.source import Source
from partsdb.tables import load

MM = 1e-3
MICRON = 1e-6


@dataclass(frozen=True, slots=True)
class Size:
    """A nominal size [m]: shaft, housing bore, width; weight: relative frequency on old machines [-]."""

    shaft: float
    bore: float
    width: float
    weight: float
    source: Source


@dataclass(frozen=True, slots=True)
class Material:
    """A lip material: temperatures [K], lip speed in good oil [m/s], fluids it bears, shelf life [years]."""

    name: str
    title: str
    spellings: tuple[str, ...]
    least: float
    most: float
    most_speed: float
    fluids: frozenset[str]
    shelf_years: float | None
    weight: float
    source: Source


@dataclass(frozen=True, slots=True)
class Fit:
    """What belongs to one diameter [m]: tolerances h11 of the shaft and H8 of the housing, and how much larger
    than the housing bore a seal is outside, (least, most) for a metal case and for a rubber-covered one."""

    h11: float
    h8: float
    metal: tuple[float, float]
    rubber: tuple[float, float]
    source: Source


def rule(name: str) -> Rule:
    """The rule of that name in tables/seal_rules.csv. Raises KeyError."""
    return rules("seal_rules")[name]


@cache
def sizes() -> tuple[Size, ...]:
    """Every nominal size the table knows; two rows may say the same in millimetres and inches."""
    table = load("seal_sizes")
    return tuple(
        Size(
            to_si(float(row["shaft"]), row["unit"]),
            to_si(float(row["bore"]), row["unit"]),
            to_si(float(row["width"]), row["unit"]),
            float(row["weight"]),
            table.source_of(row),
        )
        for row in table.rows
    )


@cache
def materials() -> Mapping[str, Material]:
    """Every lip material by its letters."""
    table = load("seal_materials")
    return {
        row["material"]: Material(
            row["material"],
            row["title"],
            tuple(row["spellings"].split("|")),
            to_si(float(row["least_c"]), "°C"),
            to_si(float(row["most_c"]), "°C"),
            float(row["most_speed"]),
            frozenset(row["fluids"].split("|")),
            float(row["shelf_years"]) if row["shelf_years"] else None,
            float(row["weight"]),
            table.source_of(row),
        )
        for row in table.rows
    }


def fit(diameter: float) -> Fit | None:
    """Tolerances and press fits at a diameter [m]; None outside 6-250 mm.

    >>> found = fit(0.030)
    >>> round(found.h11 / MICRON), round(found.h8 / MICRON)
    (130, 33)
    """
    table = load("seal_fits")
    for row in table.rows:
        if float(row["over_mm"]) * MM * (1 + 1e-9) < diameter <= float(row["up_to_mm"]) * MM * (1 + 1e-9):
            cell = {name: float(text) * MICRON for name, text in row.items() if name.endswith("um")}
            return Fit(
                cell["h11_um"],
                cell["H8_um"],
                (cell["metal_least_um"], cell["metal_most_um"]),
                (cell["rubber_least_um"], cell["rubber_most_um"]),
                table.source_of(row),
            )
    return None


def lip_speed(shaft: float, speed: float) -> float:
    """Speed of the shaft's surface under the lip [m/s]: pi·d·n = speed [rad/s] times half the diameter [m].

    >>> round(lip_speed(0.030, 1500 * 2 * 3.141592653589793 / 60), 3)
    2.356
    """
    return speed * shaft / 2


def speed_of(material: Material, fluid: str | None) -> float:
    """Lip speed [m/s] the material bears; grease and water wet the lip worse than oil, and so may the unknown."""
    share = 1.0 if fluid in ("mineral oil", "synthetic oil") else rule("grease_speed").value
    return material.most_speed * share


def suits(material: Material, fluid: str | None, temperature: float | None, speed: float | None) -> bool:
    """Whether the material bears what is known of fluid, temperature [K] and lip speed [m/s]; unknown passes.

    >>> suits(materials()["NBR"], "mineral oil", 363.15, 5.0), suits(materials()["NBR"], None, 393.15, None)
    (True, False)
    """
    if fluid is not None and fluid not in material.fluids:
        return False
    if temperature is not None and not material.least <= temperature <= material.most:
        return False
    return speed is None or speed <= speed_of(material, fluid) * (1 + 1e-9)


def covers(better: Material, old: Material) -> bool:
    """Whether `better` bears everything that `old` bears: hotter, as cold, as fast, every fluid."""
    return (
        better.most >= old.most
        and better.least <= old.least
        and better.most_speed >= old.most_speed
        and better.fluids >= old.fluids
    )


def plain_pressure(speed: float | None) -> float:
    """Pressure [Pa] a standard lip bears at a lip speed [m/s]; an unknown speed counts as fast."""
    fast = speed is None or speed > rule("fast").value
    return rule("pressure_plain_fast" if fast else "pressure_plain").value
