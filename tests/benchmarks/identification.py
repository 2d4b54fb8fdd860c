"""How often the truth is among the first five on damaged plates, how long it takes, and what peers do.

    python tests/benchmarks/identification.py [--per-plate 200] [--family NAME ...] [--share 0.25] [--failures]

Twelve hand-typed plates a family, each damaged `--per-plate` times; a catalogue of 10,000 near neighbours a
family that holds half of the truths. The neighbours are neighbours of these twelve truths and share most fields
with them, so the catalogue also tells the decoder where to look: `--parts 0` measures a user without records.
One random stream per query; the seed is the hash of the parent commit.
Lower bounds: 5th percentile of 2,000 bootstrap samples over plates (for plates like these; damages of one plate
are not independent), and Wilson's bound over all damages (for these very plates). Times are processor time.
Peers, in the same process and on the plates whose truth is in the catalogue: rapidfuzz `ratio` over everything,
and `cdist` top 500 with an exact rerank by the glyph channel.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from rapidfuzz import fuzz, process

sys.path.insert(0, str(Path(__file__).parents[1]))

from partsdb.family import Family, families
from partsdb.model import Hypothesis, KnownPart
from partsdb.reading import build_index, identify, read
from partsdb.reading.align import steps_of
from partsdb.reading.channel import plate_of
from partsdb.reading.fragments import fold_text
from partsdb.reading.known import Index, Texts
from partsdb.reading.recall import match_texts
from support.plates import TypedPlate, catalogue, damaged, is_truth, printed, sureness, typed_plates


@dataclass
class Score:
    """What one family's run found: per plate the ranks of the truth (0 = not in the list)."""

    ranks: list[list[int]] = field(default_factory=list)
    sure: list[tuple[float, bool]] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    peers: dict[str, list[list[int]]] = field(default_factory=dict)
    peer_seconds: dict[str, list[float]] = field(default_factory=dict)


def lower_bound(ranks: list[list[int]], top: int) -> tuple[float, float]:
    """(recall@top, its lower 95 % bound by a bootstrap over plates)."""
    per_plate = np.array([np.mean([0 < r <= top for r in plate]) for plate in ranks])
    rng = np.random.default_rng(1)
    means = per_plate[rng.integers(len(per_plate), size=(2000, len(per_plate)))].mean(axis=1)
    return float(per_plate.mean()), float(np.quantile(means, 0.05))


def wilson(ranks: list[list[int]], top: int) -> float:
    """Lower one-sided 95 % bound of recall@top for these very plates (E. B. Wilson 1927): the damages vary, the
    plates don't."""
    hits = [0 < r <= top for plate in ranks for r in plate]
    n, p, z = len(hits), float(np.mean(hits)), 1.645
    centre, spread = p + z * z / (2 * n), z * np.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return float((centre - spread) / (1 + z * z / n))


def calibration_gap(sure: list[tuple[float, bool]]) -> float:
    """Mean distance between what is said and what is right, over ten equal bins weighted by their size."""
    p, right = np.array([s for s, _ in sure]), np.array([r for _, r in sure], dtype=float)
    bins = np.minimum((p * 10).astype(int), 9)
    parts = [
        abs(p[bins == b].mean() - right[bins == b].mean()) * (bins == b).sum() for b in set(bins.tolist())
    ]
    return float(sum(parts) / len(p))


def bins_of(sure: list[tuple[float, bool]]) -> str:
    """Per tenth: said, right, how many."""
    p, right = np.array([s for s, _ in sure]), np.array([r for _, r in sure], dtype=float)
    bins = np.minimum((p * 10).astype(int), 9)
    return "; ".join(
        f"{p[bins == b].mean():.2f}/{right[bins == b].mean():.2f}/{(bins == b).sum()}"
        for b in sorted(set(bins.tolist()))
    )


class Peers:
    """Fuzzy matching of the whole text against every catalogue part's printed text."""

    def __init__(self, family: Family, parts: list[KnownPart]) -> None:
        self.family, self.parts = family, parts
        self.texts = [fold_text(" ".join(printed(family, part.spec))) or "-" for part in parts]

    def rank(self, plate: TypedPlate, order: list[int]) -> int:
        """Place of the truth among the first five, 0 when it isn't there."""
        for n, k in enumerate(order[:5]):
            if is_truth(self.family, plate, Hypothesis(self.parts[k].spec, 1.0)):
                return n + 1
        return 0

    def ratio(self, fragments: list[str]) -> list[int]:
        """The catalogue in the order of rapidfuzz `ratio`."""
        found = process.extract(fold_text(" ".join(fragments)), self.texts, scorer=fuzz.ratio, limit=5)
        return [k for _, _, k in found]

    def reranked(self, fragments: list[str]) -> list[int]:
        """`cdist` top 500, then the exact glyph channel over the whole printed text."""
        scores = process.cdist([fold_text(" ".join(fragments))], self.texts, scorer=fuzz.ratio)[0]
        top = np.argsort(-scores)[:500]
        seen = plate_of(read(fragments))
        number = np.arange(len(top))
        texts = Texts(tuple(self.texts[k] for k in top), number, number)
        gain = match_texts(texts, steps_of(seen), steps_of(seen, backwards=True)).gain
        return [int(top[k]) for k in np.argsort(-gain)[:5]]


def run(family: Family, seed: int, args: argparse.Namespace) -> Score:
    """All plates of one family, damaged, identified among all families."""
    plates, score = typed_plates(family.name), Score()
    rng = np.random.default_rng([seed, 0])
    parts = catalogue(family, plates, args.parts, rng)
    index: Index | None = build_index(parts, families()) if parts else None
    peers = Peers(family, parts)
    for p, plate in enumerate(plates):
        ranks, peer_ranks = [], {"ratio": [], "cdist+rerank": []}  # type: ignore[var-annotated]  # ranks per peer
        for k in range(args.per_plate):
            text = damaged(plate.text, args.share, np.random.default_rng([seed, 1, p, k]))
            start = time.process_time()
            found = identify(read(text), families(), index, keep=200)
            score.seconds.append(time.process_time() - start)
            right = [is_truth(family, plate, h) for h in found.hypotheses]
            ranks.append(right.index(True) + 1 if True in right else 0)
            if found.best:
                score.sure.append((sureness(family, plate, found.hypotheses), right[0]))
            if args.failures and not 0 < ranks[-1] <= 5:
                show_failure(plate, text, found.hypotheses, found.leftover, ranks[-1])
            if parts and p % 2 == 0 and k < args.peers:
                for name, method in (("ratio", peers.ratio), ("cdist+rerank", peers.reranked)):
                    start = time.process_time()
                    peer_ranks[name].append(peers.rank(plate, method(text)))
                    score.peer_seconds.setdefault(name, []).append(time.process_time() - start)
        score.ranks.append(ranks)
        if p % 2 == 0:
            for name, found_ranks in peer_ranks.items():
                score.peers.setdefault(name, []).append(found_ranks)
    return score


def show_failure(
    plate: TypedPlate, text: list[str], found: tuple[Hypothesis, ...], leftover: float, rank: int
) -> None:
    """One query that missed, for tuning."""
    print("MISS", rank, text, "of", plate.text, f"left {leftover:.2f}")
    for h in found[:3]:
        said = {v.attribute: v.as_written or v.code for v in h.spec.values}
        print(f"     {h.probability:.3f} {h.spec.family} {h.part_id} {said}")


def report(name: str, score: Score) -> None:
    """One family's line and its peers'."""
    (one, one_low), (five, five_low) = lower_bound(score.ranks, 1), lower_bound(score.ranks, 5)
    ms = np.array(score.seconds) * 1000
    print(f"{name:16} @1 {one:.3f} (>= {one_low:.3f})  @5 {five:.3f} (>= {five_low:.3f},", end=" ")
    print(f"these plates >= {wilson(score.ranks, 5):.3f})  p50 {np.median(ms):.0f} ms", end="  ")
    print(f"p95 {np.quantile(ms, 0.95):.0f} ms  gap {calibration_gap(score.sure):.3f}")
    print(
        "    @5 per plate", " ".join(f"{np.mean([0 < r <= 5 for r in plate]):.2f}" for plate in score.ranks)
    )
    print("    said/right/count", bins_of(score.sure))
    mine, others = score.ranks[::2], score.ranks[1::2]
    print(f"    even plates (on record): @5 {lower_bound(mine, 5)[0]:.3f}", end="")
    print(f"; odd plates (absent): @5 {lower_bound(others, 5)[0]:.3f}", end="")
    for peer, ranks in score.peers.items():
        if ranks and ranks[0]:
            took = np.median(score.peer_seconds[peer]) * 1000
            print(f"; {peer} @5 {lower_bound(ranks, 5)[0]:.3f} in {took:.0f} ms", end="")
    print()


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--per-plate", type=int, default=200)
    parser.add_argument("--family", nargs="*")
    parser.add_argument("--share", type=float, default=0.25)
    parser.add_argument(
        "--parts", type=int, default=10_000, help="catalogue parts a family; 0 = no catalogue at all"
    )
    parser.add_argument("--peers", type=int, default=40, help="queries per plate given to the peers")
    parser.add_argument("--failures", action="store_true")
    args = parser.parse_args()
    commit = subprocess.run(
        ["git", "rev-parse", "HEAD"], capture_output=True, text=True, check=True
    ).stdout.strip()
    print(f"seed {commit}, {args.per_plate} damages a plate, {args.share:.0%} of the glyphs")
    for name, family in families().items():
        if typed_plates(name) and (not args.family or name in args.family):
            report(name, run(family, int(commit[:15], 16), args))


if __name__ == "__main__":
    main()
