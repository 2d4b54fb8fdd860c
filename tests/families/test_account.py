"""Old part, place and offer in the words of plates: no word, silence, number or duty is lost (tests/support/cases.py).

The rows were written by people who hadn't seen what the program says. Half of them, by a hash of their text, is only
counted: nobody looked at a single one of its answers.
"""

from __future__ import annotations

import tomllib
from collections import Counter

import pytest

from partsdb.family import families
from support.cases import FOLDER, Case, cases_of, every_case, graded, tried

WORKING = [case for case in every_case() if not case.scored_only]
COUNTED = tomllib.loads((FOLDER / "counted.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", WORKING, ids=lambda c: f"{c.kind}: {c.plate[:40]} / {c.offered[:40]}")
def test_the_verdict_is_what_a_careful_fitter_says(case: Case) -> None:
    got = tried(case)
    grade = graded(case, got)
    if case.known:
        assert grade != "right", f"it is right now: take the note {case.known!r} out of the row"
        return
    assert grade == "right", (got.verdict, got.told)


@pytest.mark.parametrize("kind", families())
def test_the_half_that_is_only_counted_gets_no_worse(kind: str) -> None:
    grades = Counter(graded(case, tried(case)) for case in cases_of(kind) if case.scored_only)
    assert sum(grades.values()) >= 15
    worse = {name: n for name, n in grades.items() if name != "right" and n > COUNTED[kind].get(name, 0)}
    assert not worse, (dict(grades), COUNTED[kind])


def test_there_are_enough_cases_of_every_kind_and_half_of_them_slip() -> None:
    for kind in families():
        cases = cases_of(kind)
        assert len(cases) >= 25
        assert sum(case.slip not in ("like for like", "harmless text") for case in cases) >= len(cases) / 2
