"""How the cases of tests/families/account come out: right, wrongly accepted, too strict; both halves.

    python tests/benchmarks/account.py [KIND ...] [--wrong] [--slips]

--wrong lists the working half's wrong ones; --slips counts the wrong ones of both halves by what they try. The scored
half is only counted.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from partsdb.family import families
from support.cases import cases_of, graded, tried


def main() -> None:
    kinds = [a for a in sys.argv[1:] if not a.startswith("--")] or list(families())
    counts: dict[str, Counter[str]] = {"working": Counter(), "scored": Counter()}
    slips: Counter[str] = Counter()
    for kind in kinds:
        for n, case in enumerate(cases_of(kind), 2):
            got = tried(case)
            grade = graded(case, got)
            half = "scored" if case.scored_only else "working"
            counts[half][grade] += 1
            slips[f"{half}: {kind}, {case.slip}, {grade}"] += grade not in ("right", "wrong reason")
            if "--wrong" in sys.argv and grade != "right" and half == "working":
                print(f"{kind}.csv:{n} {grade}: {got.verdict} (wanted {case.verdict}; {case.reason!r})")
                print(f"    {case.plate} // {case.place} // {case.offered}\n    {got.told[:400]}")
    for half, found in counts.items():
        total = sum(found.values())
        print(f"{half}: {total} cases; " + ", ".join(f"{name} {n}" for name, n in found.most_common()))
    for slip, n in sorted(slips.items()):
        if n and "--slips" in sys.argv:
            print(f"  {slip}: {n}")


if __name__ == "__main__":
    main()
