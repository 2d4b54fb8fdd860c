"""Two small kinds of part for tests of the reading: a number with a unit, and a designation with dimensions."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from partsdb.attributes import Attribute
from partsdb.family import Consistency, Family, Field, Measurement, Row, Writing
from partsdb.model import Limit, Spec, Value, number
from partsdb.place import Place
from partsdb.source import Source, judgement

WHY = judgement("made up for the tests")


def no_limits(place: Place) -> tuple[Limit, ...]:
    """These kinds ask nothing of a replacement."""
    return ()


_MICROFARADS = (1, 2, 2.5, 3, 4, 5, 6, 7.5, 8, 10, 12, 12.5, 14, 15, 16, 18, 20, 25, 30, 35, 40, 45, 50, 60)


def _kvar_agrees(farads: Any, volts: Any, hertz: Any, kvar: Any) -> Any:
    off = np.log(np.asarray(kvar, float) / (2 * math.pi * hertz * farads * np.asarray(volts, float) ** 2))
    return np.nan_to_num(np.maximum(-0.5 * (off / 0.05) ** 2, -8.0), nan=0.0)


CONDENSER = Family(
    name="condenser",
    title="condenser",
    attributes=(
        Attribute("capacitance", "capacitance", "µF", identity=True, rel_tol=0.01),
        Attribute("voltage", "rated voltage", "V", identity=True, rel_tol=0.01),
        Attribute("frequency", "frequency", "Hz", identity=True),
        Attribute("kvar", "reactive power", "kvar"),
        Attribute("service", "service", None, codes={"run": "run", "start": "start"}),
    ),
    fields=(
        Field(
            "capacitance",
            ("capacitance",),
            tuple(Row((x * 1e-6,), 3 if x % 5 == 0 else 1) for x in _MICROFARADS),
            (Writing("{capacitance:µF} (MFD|µF|MF)"), Writing("(C|CAP) {capacitance:µF} [µF]", -2)),
            p_absent=0.05,
            off_grid=-4.0,
        ),
        Field(
            "voltage",
            ("voltage",),
            tuple(Row((float(v),)) for v in (110, 220, 230, 250, 330, 370, 400, 440, 450, 480, 660)),
            (Writing("{voltage:V} (VAC|V|VOLTS|V AC)"),),
            p_absent=0.05,
            off_grid=-5.0,
        ),
        Field(
            "frequency",
            ("frequency",),
            (Row((50.0,)), Row((60.0,)), Row(((50.0, 60.0),), 0.5)),
            (Writing("{frequency:Hz} (HZ|CY|CYC|CYCLES|~)"),),
            p_absent=0.3,
        ),
        Field(
            "kvar",
            ("kvar",),
            tuple(Row((x * 1000.0,)) for x in (1, 1.5, 2, 5)),
            (Writing("{kvar:kvar} KVAR"),),
            0.9,
        ),
        Field("service", ("service",), (Row(("run",)), Row(("start",))), (Writing("{service} [DUTY]"),), 0.6),
    ),
    measurements=(
        Measurement("capacitance", "capacitance meter", 5e-9, 0.03, 3.0, "discharge first", "below", 0.1),
        Measurement("frequency", "clamp meter on the supply", 0.2, 0.0, 8.0, "live work"),
    ),
    hazards=(),
    require=no_limits,
    title_of=lambda spec: f"{(spec.num('capacitance') or 0) * 1e6:g} µF {spec.num('voltage') or 0:g} V",
    consistency=(Consistency(("capacitance", "voltage", "frequency", "kvar"), _kvar_agrees, WHY),),
)

_BORES = {"00": 10, "01": 12, "02": 15, "03": 17, **{f"{n:02d}": 5 * n for n in range(4, 15)}}
_SERIES = {"60": (10.0, 0.55), "62": (16.0, 0.6), "63": (22.0, 0.65)}
DIMENSIONS: Mapping[str, tuple[float, float]] = {
    s + b: (d / 1000, round(d * 1.6 + grow) / 1000)
    for s, (grow, _) in _SERIES.items()
    for b, d in _BORES.items()
}


def _dimensions(spec: Spec) -> tuple[Value, ...]:
    found = DIMENSIONS.get(spec.code("designation") or "")
    table = Source("made up", "judgement")
    return (number("bore", found[0], table), number("outside", found[1], table)) if found else ()


ROLLER = Family(
    name="roller",
    title="roller",
    attributes=(
        Attribute("designation", "designation", None, identity=True),
        Attribute(
            "seal",
            "seal",
            None,
            identity=True,
            spellings={"both": ("2RS", "LLU", "-2RS1"), "open": ("OPEN",)},
        ),
        Attribute(
            "clearance", "clearance", None, identity=True, spellings={"normal": ("CN",), "C3": ("C3", "/C3")}
        ),
        Attribute("bore", "bore", "mm"),
        Attribute("outside", "outside diameter", "mm"),
    ),
    fields=(
        Field(
            "designation",
            ("designation",),
            tuple(Row((d,)) for d in DIMENSIONS),
            (Writing("{designation}"),),
            0.05,
        ),
        Field("seal", ("seal",), (Row(("both",)),), (Writing("{seal}"),), 0.5, default=("open",)),
        Field(
            "clearance", ("clearance",), (Row(("C3",)),), (Writing("{clearance}"),), 0.7, default=("normal",)
        ),
    ),
    measurements=(
        Measurement("bore", "caliper on the shaft", 2e-5, 0.0, 2.0, "isolate first", "below", 0.002),
        Measurement("outside", "caliper", 2e-5, 0.0, 1.0, ""),
    ),
    hazards=(),
    require=no_limits,
    title_of=lambda spec: f"roller {spec.code('designation') or '?'}",
    derive=_dimensions,
)

KINDS: Mapping[str, Family] = {family.name: family for family in (CONDENSER, ROLLER)}
