"""Does the advised next observation beat the best fixed order? Bits gained per minute on ambiguous plates.

    python tests/benchmarks/next_observation.py [--per-plate 10] [--share 0.4] [--family NAME ...]

Hand-typed plates, damaged until the best reading is less than 80 % sure. Observations are drawn from the truth
with the tool's accuracy. Gain: log2 P(truth) after less before. The fixed order ranks the family's measurements
by what each gained per minute as a first observation on the even-numbered damages; both are then compared on
the odd-numbered ones, two observations each. Seed: hash of the parent commit.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from partsdb.family import Family, Measurement, families
from partsdb.model import Context, Identification, Measured
from partsdb.reading import identify, read
from support.plates import TypedPlate, damaged, is_truth, spec_of, sureness, typed_plates

STEPS = 2


@dataclass(frozen=True)
class Case:
    """One ambiguous plate: what is legible, what it truly is, and what each instrument would show."""

    family: Family
    plate: TypedPlate
    text: tuple[str, ...]
    shows: dict[str, Measured]

    def look(self, measured: Sequence[Measured]) -> Identification:
        """The reading after these measurements."""
        context = Context(family=self.family.name)
        return identify(read(self.text, measured, context), {self.family.name: self.family}, keep=100)

    def belief(self, found: Identification) -> float:
        """P(truth), never below one in ten thousand."""
        return max(sum(h.probability for h in found.hypotheses if is_truth(self.family, self.plate, h)), 1e-4)


def cases(family: Family, args: argparse.Namespace, seed: int) -> list[Case]:
    """Ambiguous damages of the family's plates."""
    found = []
    for p, plate in enumerate(typed_plates(family.name)):
        truth = family.complete(spec_of(family, plate))
        for k in range(args.per_plate):
            rng = np.random.default_rng([seed, 2, p, k])
            shows = {}
            for how in family.of_the_part:
                value = truth.first(how.attribute)
                if value is not None and value.code is None and value.low == value.high and value.low:
                    sd = max(how.sd_abs + how.sd_rel * value.low, 1e-9 * value.low)
                    shows[how.attribute] = Measured(
                        how.attribute, value.low + sd * float(rng.normal()), sd, how.tool
                    )
            case = Case(family, plate, tuple(damaged(plate.text, args.share, rng)), shows)
            first = case.look(())
            if shows and first.hypotheses and sureness(family, plate, first.hypotheses) < 0.8:
                found.append(case)
    return found


def play(
    case: Case, choose: Callable[[Identification, list[str]], Measurement | None]
) -> tuple[float, float]:
    """(bits gained, minutes spent) over STEPS observations."""
    found, done = case.look(()), list[Measured]()
    before, minutes = case.belief(found), 0.0
    for _ in range(STEPS):
        how = choose(found, [m.attribute for m in done])
        if how is None:
            break
        done.append(case.shows[how.attribute])
        minutes += how.minutes
        found = case.look(done)
    return float(np.log2(case.belief(found) / before)), minutes


def advised(case: Case) -> Callable[[Identification, list[str]], Measurement | None]:
    """The first advised measurement that this part allows."""
    how = {m.attribute: m for m in case.family.of_the_part if m.attribute in case.shows}

    def choose(found: Identification, done: list[str]) -> Measurement | None:
        tools = ((o.attribute, o.tool) for o in found.advice)
        wanted = (a for a, tool in tools if a in how and tool == how[a].tool and a not in done)
        best = next(wanted, None)
        return how[best] if best else None

    return choose


def fixed(
    case: Case, order: Sequence[Measurement]
) -> Callable[[Identification, list[str]], Measurement | None]:
    """The next of a fixed order that this part allows."""

    def choose(found: Identification, done: list[str]) -> Measurement | None:
        return next((m for m in order if m.attribute in case.shows and m.attribute not in done), None)

    return choose


def best_order(family: Family, training: Sequence[Case]) -> list[Measurement]:
    """The measurements by bits per minute as a first observation."""
    rate = {}
    for how in family.of_the_part:
        gains = [
            np.log2(case.belief(case.look([case.shows[how.attribute]])) / case.belief(case.look(())))
            for case in training
            if how.attribute in case.shows
        ]
        rate[how.attribute] = float(np.mean(gains)) / how.minutes if gains else -1.0
    return sorted(family.of_the_part, key=lambda m: -rate[m.attribute])


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--per-plate", type=int, default=10)
    parser.add_argument("--share", type=float, default=0.4)
    parser.add_argument("--family", nargs="*")
    args = parser.parse_args()
    commit = subprocess.run(
        ["git", "rev-parse", "HEAD"], capture_output=True, text=True, check=True
    ).stdout.strip()
    print(f"seed {commit}, {args.share:.0%} of the glyphs")
    totals = np.zeros(4)
    for name, family in families().items():
        if args.family and name not in args.family:
            continue
        found = cases(family, args, int(commit[:15], 16))
        training, held_out = found[::2], found[1::2]
        if not held_out:
            continue
        order = best_order(family, training)
        ours = np.array([play(case, advised(case)) for case in held_out]).sum(axis=0)
        theirs = np.array([play(case, fixed(case, order)) for case in held_out]).sum(axis=0)
        totals += [*ours, *theirs]
        print(
            f"{name:18} {len(held_out):3} plates: advised {ours[0]:.1f} bits in {ours[1]:.0f} min, fixed order "
            f"({', '.join(m.attribute for m in order[:3])}) {theirs[0]:.1f} bits in {theirs[1]:.0f} min"
        )
    advised_rate, fixed_rate = totals[0] / max(totals[1], 1e-9), totals[2] / max(totals[3], 1e-9)
    ratio = advised_rate / fixed_rate
    print(f"all: advised {advised_rate:.3f} bit/min, fixed {fixed_rate:.3f} bit/min, ratio {ratio:.2f}")


if __name__ == "__main__":
    main()
