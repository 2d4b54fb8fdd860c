"""Geometry of an open V-belt drive: two pulleys, one belt, no idler.

Diameters and lengths are at the pitch (datum) line. Everything in SI units. Figures of a drive raise ValueError when
its pulleys overlap, the small one comes first, or a size is not above zero.

References
----------
[1] Machinery's Handbook, 31st edition, "Flexible belts and sheaves": length and centre distance of open drives.
[2] Exact length: two tangents and two arcs, elementary geometry.
[3] TM 5-4310-339-15 (US Army), "Checking belt tension": deflection of 1/64 inch an inch of span.
"""

from __future__ import annotations

import math

DEFLECTION = 1 / 64  # [-] of the span, reference [3]
_STEPS = 50


def open_length(centres: float, large: float, small: float) -> float:
    """Exact length of an open belt [m]: L = 2 C cos a + pi/2 (D + d) + a (D - d), sin a = (D - d) / 2C [2].

    centres: centre distance C [m]; large, small: pulley diameters D >= d at the pitch line [m].

    >>> open_length(20, 10, 5)
    63.8749
    """
    _checked(centres, large, small)
    lean = math.asin((large - small) / (2 * centres))
    return 2 * centres * math.cos(lean) + math.pi / 2 * (large + small) + lean * (large - small)


def open_length_by_rule(centres: float, large: float, small: float) -> float:
    """The workshop rule L = 2C + pi/2 (D + d) + (D - d)²/4C [m], a little short of the exact length [1].

    >>> open_length_by_rule(20, 10, 5)
    63.8744
    """
    _checked(centres, large, small)
    return 2 * centres + math.pi / 2 * (large + small) + (large - small) ** 2 / (4 * centres)


def centre_distance(length: float, large: float, small: float) -> float:
    """Centre distance [m] at which an open belt of that length [m] runs: the inverse of `open_length`.

    Newton's steps from the workshop rule; dL/dC = 2 cos a.

    >>> centre_distance(open_length(0.5, 0.3, 0.15), 0.3, 0.15)
    0.5000

    Raises ValueError when the belt is too short to go round both pulleys without their touching.
    """
    closest = (large + small) / 2
    if length < open_length(closest, large, small) * (1 - 1e-12):
        raise ValueError(f"a belt of {length * 1000:.0f} mm doesn't go round pulleys this large")
    rest = length - math.pi / 2 * (large + small)
    inner = max(rest**2 - 2 * (large - small) ** 2, 0.0)
    centres = max((rest + math.sqrt(inner)) / 4, closest)
    for _ in range(_STEPS):
        step = (open_length(centres, large, small) - length) / (
            2 * math.sqrt(max(1 - ((large - small) / (2 * centres)) ** 2, 1e-12))
        )
        centres = max(centres - step, closest)
        if abs(step) <= 1e-14 * centres:
            break
    return centres


def wrap_angle(centres: float, large: float, small: float) -> float:
    """Arc of contact on the small pulley [rad]: pi - 2 asin((D - d) / 2C) [2].

    >>> round(math.degrees(wrap_angle(0.5, 0.3, 0.15)), 1)
    162.7
    """
    _checked(centres, large, small)
    return math.pi - 2 * math.asin((large - small) / (2 * centres))


def span_length(centres: float, large: float, small: float) -> float:
    """Free span between the pulleys [m]: sqrt(C² - ((D - d) / 2)²) [2].

    >>> span_length(24, 12, 4)
    23.66
    """
    _checked(centres, large, small)
    return math.sqrt(centres**2 - ((large - small) / 2) ** 2)


def deflection(span: float) -> float:
    """How far the middle of the span is pressed down when the belt is tensioned [m]: 1/64 of the span [3].

    >>> deflection(100)
    1.5625
    """
    return span * DEFLECTION


def belt_speed(diameter: float, turning: float) -> float:
    """Belt speed [m/s] of a pulley of that diameter [m] turning at `turning` [rad/s].

    >>> belt_speed(0.125, 1450 * 2 * math.pi / 60)
    9.49
    """
    return diameter / 2 * turning


def lengths_within(
    centres: float, large: float, small: float, inward: float, outward: float
) -> tuple[float, float]:
    """Shortest and longest belt [m] that the rails allow: C may go `inward` or `outward` [m] of where it is.

    >>> low, high = lengths_within(0.5, 0.3, 0.15, 0.02, 0.03)
    >>> round(low * 1000), round(high * 1000)
    (1679, 1777)
    """
    closest = (large + small) / 2
    return (
        open_length(max(centres - inward, closest), large, small),
        open_length(centres + outward, large, small),
    )


def _checked(centres: float, large: float, small: float) -> None:
    if not (0 < small <= large):
        raise ValueError(f"pulleys of {large} and {small} m: the large one comes first, both above zero")
    if not (math.isfinite(centres) and centres >= (large + small) / 2 * (1 - 1e-12)):
        raise ValueError(f"pulleys of {large} and {small} m overlap at a centre distance of {centres} m")
