"""Fits, lip materials, lip speed and pressure of rotary shaft lip seals, and the figures that the texts name.

SI inside: lengths [m], speeds [rad/s] and [m/s], temperatures [K], pressures [Pa]. Tables beside this file: fits,
materials, rules.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from partsdb.kit import Figures, Place
from partsdb.physics.rules import Rule, rules
from partsdb.quantities import show, to_si
from partsdb.source import Source
from partsdb.tables import load

MM = 1e-3
MICRON = 1e-6


@dataclass(frozen=True, slots=True)
class Material:
    """A lip material: temperatures [K], lip speed in good oil [m/s], fluids it bears, shelf life [years]."""

    name: str
    least: float
    most: float
    most_speed: float
    fluids: frozenset[str]
    shelf_years: float | None
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
    """The rule of that name in rules.csv. Raises KeyError."""
    return rules("rules", __package__)[name]


@cache
def materials() -> Mapping[str, Material]:
    """Every lip material by its letters."""
    table = load("materials", __package__)
    return {
        row["code"]: Material(
            row["code"],
            to_si(float(row["least_c"]), "°C"),
            to_si(float(row["most_c"]), "°C"),
            float(row["most_speed"]),
            frozenset(row["fluids"].split("|")),
            float(row["shelf_years"]) if row["shelf_years"] else None,
            table.source_of(row),
        )
        for row in table.rows
    }


def fit(diameter: float) -> Fit | None:
    """Tolerances and press fits at a diameter [m], ISO 6194-1 and ISO 286-2; None outside 6-250 mm.

    >>> found = fit(0.030)
    >>> round(found.h11 / MICRON), round(found.h8 / MICRON)
    (130, 33)
    """
    table = load("fits", __package__)
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


# --------------------------------------------------------------------------- what a lip bears


def lip_speed(shaft: float, speed: float) -> float:
    """Speed of the shaft's surface under the lip [m/s]: pi·d·n = speed [rad/s] times half the diameter [m].

    >>> round(lip_speed(0.030, 1500 * 2 * 3.141592653589793 / 60), 3)
    2.356
    """
    return speed * shaft / 2


def speed_share(fluid: str | None) -> float:
    """Share of its lip speed in oil that is left [-]: grease and water wet the lip worse, and so may the unknown."""
    return 1.0 if fluid in ("mineral oil", "synthetic oil") else rule("grease_speed").value


def suits(material: Material, fluid: str | None, temperature: float | None, speed: float | None) -> bool:
    """Whether the material bears what is known of fluid, temperature [K] and lip speed [m/s]; unknown passes.

    >>> suits(materials()["NBR"], "mineral oil", 363.15, 5.0), suits(materials()["NBR"], None, 393.15, None)
    (True, False)
    """
    if fluid is not None and fluid not in material.fluids:
        return False
    if temperature is not None and not material.least <= temperature <= material.most:
        return False
    return speed is None or speed <= material.most_speed * speed_share(fluid) * (1 + 1e-9)


def replaces(
    new: Material, old: Material | None, fluid: str | None, temperature: float | None, speed: float | None
) -> bool:
    """Whether the material bears what is known of the duty and, where that isn't all of it, what the old one bore.

    Leather only for leather.

    >>> fkm, nbr = materials()["FKM"], materials()["NBR"]
    >>> replaces(fkm, nbr, "mineral oil", 363.15, None), replaces(nbr, fkm, "mineral oil", 363.15, None)
    (True, False)
    """
    only_leather = new.name == "leather" and (old is None or old.name != "leather")
    if only_leather or not suits(new, fluid, temperature, speed):
        return False
    if old is None:
        return True
    as_fast = new.most_speed >= old.most_speed
    if fluid is not None and temperature is not None:
        return as_fast or speed is not None
    return as_fast and new.most >= old.most and new.least <= old.least and new.fluids >= old.fluids


def plain_pressure(speed: float | None) -> float:
    """Pressure [Pa] a standard lip bears at a lip speed [m/s]; an unknown speed counts as fast."""
    fast = speed is None or speed > rule("fast").value
    return rule("pressure_plain_fast" if fast else "pressure_plain").value


# --------------------------------------------------------------------------- what the texts name


def figures(place: Place) -> Figures:
    """Sizes of the metal, the press fit, the shelf life, and what speaks for the suspects."""
    was, heat = place.was, place.number("fluid_temperature")
    lip = materials().get(was.code("material") or "")
    case = {"A": "rubber", "B": "metal", "C": "metal"}.get((was.code("design") or "?")[0], "either")
    return {
        "case": case,
        "smooth": "yes" if place.word("shaft_groove") == "none" else "no",
        "cooked": "yes" if heat is not None and lip is not None and heat > lip.most - 10 else None,
        "rubber": lip.name if lip else None,
        "shelf_years": lip.shelf_years if lip else None,
        "ra_least": show(rule("ra_least").value, "µm"),
        "ra_most": show(rule("ra_most").value, "µm"),
        "hardness": f"{rule('hardness').value:.0f}",
        **_metal(was.num("shaft"), was.num("bore"), case),
    }


def _metal(shaft: float | None, bore: float | None, case: str) -> Figures:
    """Ends of shaft and housing, and how much larger than its bore the seal is outside; of an unknown case the
    ends of both kinds."""
    of_shaft, of_bore = fit(shaft or 0.0), fit(bore or 0.0)
    pressed = {"rubber": of_bore.rubber, "metal": of_bore.metal} if of_bore else {}
    ends = [end for kind, pair in pressed.items() if case in (kind, "either") for end in pair]
    return {
        "shaft_least": f"{(shaft - of_shaft.h11) / MM:.2f}" if shaft and of_shaft else None,
        "shaft_most": f"{shaft / MM:.2f}" if shaft and of_shaft else None,
        "shaft_status": of_shaft.source.status if of_shaft else None,
        "bore_least": f"{bore / MM:.3f}" if bore and of_bore else None,
        "bore_most": f"{(bore + of_bore.h8) / MM:.3f}" if bore and of_bore else None,
        "bore_status": of_bore.source.status if of_bore else None,
        "larger_least": f"{min(ends) / MM:.2f}" if ends else None,
        "larger_most": f"{max(ends) / MM:.2f}" if ends else None,
    }
