"""The README is executed: the two commands stand first, and each block of the tour prints what it says."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from support.commands import NOW, partsdb

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```(\w+)\n(.*?)```", README, flags=re.DOTALL)
SHELL = [text.strip() for kind, text in BLOCKS if kind == "sh"]


def test_the_first_two_blocks_are_the_two_commands_each_one_line():
    setup, tests = SHELL[:2]
    assert "\n" not in setup and "\n" not in tests
    assert setup.endswith("partsdb demo")
    assert "pytest" in tests
    assert BLOCKS[0][0] == BLOCKS[1][0] == "sh"


def _tour() -> list[tuple[str, str]]:
    pairs = []
    for (kind, text), (next_kind, output) in pairwise(BLOCKS[2:]):
        if kind == "sh" and next_kind == "text":
            pairs.append((text, output))
    return pairs


def test_every_block_of_the_tour_prints_what_the_readme_says(tmp_path: Path):
    db, done = tmp_path / "tour.db", 0
    for commands, expected in _tour():
        printed = ""
        for line in commands.replace("\\\n", " ").strip().splitlines():
            assert line.startswith("partsdb "), line
            ran = partsdb(line.removeprefix("partsdb "), db, columns=72, now=NOW)
            assert ran.code == 0, (line, ran.err)
            printed += ran.out
        assert _plain(printed) == _plain(expected), commands
        done += 1
    assert done >= 6


def _plain(text: str) -> str:
    return "\n".join(line.rstrip() for line in text.strip().splitlines())


@pytest.mark.parametrize("kind", sorted({kind for kind, _ in BLOCKS}))
def test_blocks_are_shell_or_output(kind):
    assert kind in ("sh", "text")
