"""The hand-typed plates, damaged: a small fixed version of tests/benchmarks/identification.py."""

from __future__ import annotations

import numpy as np
import pytest

from partsdb.family import families
from partsdb.model import Context
from partsdb.reading import identify, read
from support.plates import damaged, is_truth, typed_plates


def _ranks(name: str, share: float, times: int) -> list[int]:
    """Place of the truth in the list (0 = not in it) for every plate and damage, the kind being named."""
    family, ranks = families()[name], []
    for p, plate in enumerate(typed_plates(name)):
        for k in range(times):
            text = damaged(plate.text, share, np.random.default_rng([7, p, k]))
            found = identify(read(text, (), Context(family=name)), {name: family})
            right = [is_truth(family, plate, h) for h in found.hypotheses]
            ranks.append(right.index(True) + 1 if True in right else 0)
    return ranks


@pytest.mark.parametrize("name", sorted(n for n in families() if typed_plates(n)))
def test_an_undamaged_plate_puts_the_truth_first(name: str) -> None:
    ranks = _ranks(name, 0.0, 1)
    assert sum(r == 1 for r in ranks) >= len(ranks) - 1


@pytest.mark.parametrize("name", ["ac_capacitor", "contactor", "rolling_bearing"])
def test_a_plate_with_a_quarter_of_its_glyphs_hurt_has_the_truth_in_the_first_five(name: str) -> None:
    ranks = _ranks(name, 0.25, 2)
    assert sum(0 < r <= 5 for r in ranks) >= 0.75 * len(
        ranks
    )  # without any records; the benchmark has the bounds
