"""What is measured of a part is never thrown away: it moves what is believed or asked, or is a question."""

from __future__ import annotations

import random
import tomllib
from datetime import UTC, datetime
from pathlib import Path

import pytest

from partsdb.equivalence import demands, judge, requirements
from partsdb.equivalence.ruling import rank
from partsdb.family import Family, families
from partsdb.model import Identification, KnownPart, Measured, Spec
from partsdb.reading import identify, read
from support.neighbours import stated_spec

EVERY = families()
NOW = datetime(2026, 6, 10, 9, 0, tzinfo=UTC)
FOLDER = Path(__file__).parents[1] / "benchmarks" / "plates"
PLATES = {
    kind: [
        tuple(p["text"])
        for p in tomllib.loads((FOLDER / f"{kind}.toml").read_text(encoding="utf-8"))["plate"]
    ]
    for kind in EVERY
}
OF_PART = [(name, m.attribute) for name, family in EVERY.items() for m in family.of_the_part]


def told(family: Family, found: Identification) -> object:
    beliefs = [(round(h.probability, 6), h.spec.key) for h in found.by_plate]
    return beliefs, [demands(one) for one in requirements(family, found, {})]


def values_of(family: Family, attribute: str) -> list[float]:
    """Numbers that parts of the kind have, or could have."""
    rng = random.Random(3)
    specs = (family.complete(stated_spec(family, rng)) for _ in range(40))
    found = [v.low for spec in specs for v in spec.all(attribute) if v.low is not None and v.low > 0]
    return found[:3] or [1.0, 100.0]


@pytest.mark.parametrize(("name", "attribute"), OF_PART)
def test_every_measurement_moves_something(name: str, attribute: str) -> None:
    family = EVERY[name]
    for plate in PLATES[name][:6]:
        without = told(family, identify(read(plate), {name: family}))
        for x in values_of(family, attribute):
            taken = Measured(attribute, x, 0.01 * x, "a tool", "")
            if told(family, identify(read(plate, (taken,)), {name: family})) != without:
                return
    pytest.fail(f"{attribute} of a {name} is measured and thrown away")


def test_every_measurement_of_the_place_is_a_duty_that_the_family_answers() -> None:
    for family in EVERY.values():
        of_part = {m.attribute for m in family.of_the_part}
        for m in family.measurements:
            assert m.attribute in of_part | family.answers | {"supply_voltage", "supply_frequency"}, m


@pytest.mark.parametrize(
    ("name", "plate"), [(name, plate) for name, plates in PLATES.items() for plate in plates[::3]]
)
def test_a_true_measurement_forgotten_never_improves_a_verdict(name: str, plate: tuple[str, ...]) -> None:
    family = EVERY[name]
    among = {name: family}
    found = identify(read(plate), among)
    spec: Spec = family.complete(found.by_plate[0].spec)
    part = KnownPart("same", spec)
    without = judge(family, requirements(family, found, {}), part, {})
    for m in family.of_the_part:
        value = spec.first(m.attribute)
        if value is None or value.low is None or value.low != value.high or value.qualifier or value.variant:
            continue  # of several connections nobody knows which one was measured
        taken = Measured(m.attribute, value.low, max(m.sd_abs + m.sd_rel * value.low, 1e-9), m.tool, "")
        beside = identify(read(plate, (taken,)), among)
        with_it = judge(family, requirements(family, beside, {}), part, {})
        assert rank(with_it.outcome) <= rank(without.outcome), (m.attribute, with_it.missing)
