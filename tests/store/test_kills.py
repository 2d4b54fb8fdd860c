"""Killed at any point, the database is as it was before or as it should be after, and sound."""

from __future__ import annotations

from pathlib import Path

import pytest

from support.kills import WORKS, Work, torture


@pytest.mark.parametrize("work", WORKS, ids=lambda work: work.name)
def test_a_kill_leaves_nothing_half_done(tmp_path: Path, work: Work) -> None:
    found = torture(work, tmp_path, kills=3, seed=len(work.name))
    assert sum(found.values()) == 3
