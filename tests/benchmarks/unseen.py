"""How plates are read that nobody has tuned to, undamaged and damaged, on the working and on the scored half.

    python tests/benchmarks/unseen.py [--family NAME ...] [--share 0 0.1 0.25 0.4] [--damages 3] [--wrong]

No records; the seven families compete. Of undamaged plates: whether the first answer is right (it says every identity
attribute that the plate states), and whether a legible number was read as another one; of damaged ones whether the
truth is among the first five, with the 5th percentile of 2,000 bootstrap samples over plates. Then how sure the first
answer was against how often it was right, and of kinds that nobody has rules for how many are claimed at over one half.
--wrong lists the undamaged plates of the working half that are read wrong; those of the scored half are never shown.
Times are processor time.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

from identification import calibration_gap, lower_bound

from partsdb.family import families
from partsdb.model import Identification
from partsdb.reading import identify, read
from support.plates import damaged, is_truth, sureness
from support.unseen import Half, UnseenPlate, unseen

SEED = 20261126
HALVES: tuple[Half, Half] = ("working", "scored")


@dataclass(frozen=True, slots=True)
class Result:
    """One plate once: rank of the truth (0 = not there), how sure of the first answer, how much is something else,
    whether a legible number was read as another, what is claimed, seconds."""

    rank: int
    sure: float
    left: float
    misread: bool
    claimed: str
    claim: float
    seconds: float
    told: str


def tried(name: str, number: int, share: float, k: int) -> Result:
    """One plate, damaged for the k-th time."""
    one = unseen(name)[number]
    rng = np.random.default_rng([SEED, number, round(100 * share), k])
    text = damaged(one.plate.text, share, rng) if share else list(one.plate.text)
    start = time.process_time()
    found = identify(read(text), families(), keep=200)
    seconds = time.process_time() - start
    kind, claim = found.families[0] if found.families and found.hypotheses else ("", 0.0)
    if name == "unknown":
        return Result(0, 0.0, found.leftover, False, kind, claim, seconds, _told(found))
    family = families()[name]
    ranks = [is_truth(family, one.plate, h) for h in found.hypotheses]
    rank = ranks.index(True) + 1 if True in ranks else 0
    sure = sureness(family, one.plate, found.hypotheses) if found.hypotheses else 0.0
    return Result(rank, sure, found.leftover, misread(found), kind, claim, seconds, _told(found))


def misread(found: Identification) -> bool:
    """Whether the first answer takes a legible number for another one."""
    if found.best is None:
        return False
    for e in found.best.evidence:
        if e.where is not None and e.faith == "changed":
            fragment, start, end = e.where
            if any(c.isdigit() for c in found.reading.fragments[fragment].text[start:end]):
                return True
    return False


def _told(found: Identification) -> str:
    best = found.best
    if best is None:
        return "nothing fits"
    values = ", ".join(
        f"{v.attribute}{'@' + v.qualifier if v.qualifier else ''}{'#' + str(v.variant) if v.variant else ''}="
        f"{v.code or v.as_written}"
        for v in best.spec.values
        if v.as_written
    )
    left = "; ".join(found.unread)
    return f"{best.spec.family} {best.probability:.2f} else {found.leftover:.2f}: {values} | left: {left}"


def _line(results: list[list[Result]], top: int) -> str:
    if not results:
        return "-"
    recall, bound = lower_bound([[r.rank for r in plate] for plate in results], top)
    return f"{recall:.3f} (>= {bound:.3f})"


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    kinds = [*families(), "unknown"]
    parser.add_argument("--family", nargs="*", choices=kinds, default=kinds)
    parser.add_argument("--share", nargs="*", type=float, default=[0.0, 0.1, 0.25, 0.4])
    parser.add_argument("--damages", type=int, default=3)
    parser.add_argument("--wrong", action="store_true")
    args = parser.parse_args()
    if not all(0 <= share < 1 for share in args.share) or args.damages < 1:
        parser.error("a share of hurt glyphs is from 0 to less than 1, and each plate is hurt at least once")
    jobs = [
        (name, number, share, k)
        for name in args.family
        for number in range(len(unseen(name)))
        for share in (args.share if name != "unknown" else [0.0])
        for k in range(args.damages if share else 1)
    ]
    with ProcessPoolExecutor() as pool:
        done = list(pool.map(tried, *zip(*jobs, strict=True), chunksize=8))
    results: dict[tuple[str, float, Half], dict[int, list[Result]]] = defaultdict(lambda: defaultdict(list))
    for (name, number, share, _), result in zip(jobs, done, strict=True):
        results[name, share, unseen(name)[number].half][number].append(result)
    for half in HALVES:
        _report(half, args, results)
    if args.wrong:
        for name in args.family:
            _wrong(name, results[name, 0.0, "working"])
    print(f"{np.mean([r.seconds for r in done]):.3f} s of processor time each, {len(done)} readings")


def _report(
    half: Half, args: argparse.Namespace, results: dict[tuple[str, float, Half], dict[int, list[Result]]]
) -> None:
    print(f"\n{half} half")
    every: dict[float, list[list[Result]]] = defaultdict(list)
    for name in args.family:
        if name == "unknown":
            continue
        cells = []
        for share in args.share:
            plates = list(results[name, share, half].values())
            every[share] += plates
            cells.append(_line(plates, 5 if share else 1))
        clean = [p[0] for p in results[name, 0.0, half].values()]
        off = sum(r.misread for r in clean)
        lost = sum(r.left > 0.5 for r in clean)
        print(f"{name:16} {'  '.join(cells)}  misread {off}/{len(clean)}, lost to something else {lost}")
    if every:
        print(f"{'all':16} {'  '.join(_line(every[s], 5 if s else 1) for s in args.share)}")
        for share in args.share:
            _calibration(share, [r for plate in every[share] for r in plate])
    kinds = [p[0] for p in results["unknown", 0.0, half].values()]
    if kinds:
        over = sum(r.claim > 0.5 for r in kinds)
        most = sum(r.claim > 0.95 for r in kinds)
        print(f"unknown kinds: {over} of {len(kinds)} claimed at over .5, {most} over .95")


def _calibration(share: float, done: list[Result]) -> None:
    sure = [(r.sure, r.rank == 1) for r in done if r.sure > 0]
    high = [right for s, right in sure if s >= 0.9]
    outside = [r.left < 0.05 for r in done if not 0 < r.rank <= 5]
    print(
        f"  at {share:.0%}: gap {calibration_gap(sure):.3f}, claims of .9 and more right in {np.mean(high):.3f} of"
        f" {len(high)}, outside the five with something else under .05: {sum(outside) / len(done):.3f}"
    )


def _wrong(name: str, results: dict[int, list[Result]]) -> None:
    for number, (result, *_) in sorted(results.items()):
        one: UnseenPlate = unseen(name)[number]
        bad = result.claim > 0.5 if name == "unknown" else result.rank != 1 or result.misread
        if bad:
            print(
                f"\n{name} {number} ({'usual' if one.usual else 'unusual'}, {one.about}) rank {result.rank}"
            )
            print("   ", " | ".join(one.plate.text))
            print(
                "    want", one.kind or dict(one.plate.expect), f"beyond: {one.beyond}" if one.beyond else ""
            )
            print("    got ", result.told)


if __name__ == "__main__":
    main()
