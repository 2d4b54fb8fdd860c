"""Kills the program hundreds of times at random points of its work with the records.

    python tests/benchmarks/soak.py [kills for each kind of work, 50] [seed, 1]

Prints how often the records were found as before and as after; stops with an error when they were ever between,
unsound, or couldn't be worked with afterwards.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support.kills import PLANNING, WORKS, torture


def main() -> None:
    """Tortures every kind of work."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    works = (*WORKS, PLANNING)
    for work in works:
        with tempfile.TemporaryDirectory() as folder:
            found = torture(work, Path(folder), kills, seed)
        print(f"{work.name:14} {kills} kills: {found['before']} found undone, {found['after']} found done")
    print(f"{kills * len(works)} kills, nothing lost, nothing half done")


if __name__ == "__main__":
    main()
