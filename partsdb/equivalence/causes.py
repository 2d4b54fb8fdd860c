"""Several faults on one machine: is there one cause behind them? Suspects of the same id are merged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod

from partsdb.duty import Duty
from partsdb.family import Family, Suspect
from partsdb.model import Spec
from partsdb.source import Source


@dataclass(frozen=True, slots=True)
class SharedCause:
    """A possible cause, with every position that speaks for it.

    why: what each position says for it ("control transformer: ..."); ask: the readings that settle it;
    then: the needs it makes; strength: 1 - Π(1 - s) over the positions [-].
    """

    id: str
    title: str
    positions: tuple[str, ...]
    why: tuple[str, ...]
    ask: tuple[str, ...]
    then: tuple[str, ...]
    strength: float
    sources: tuple[Source, ...] = ()


def causes(found: Sequence[tuple[str, Family, Spec, Duty]]) -> tuple[SharedCause, ...]:
    """Causes behind the failures of one machine: those that explain more positions first, then the stronger.

    `found` holds (position title, family, specification of what failed, duty). Positions count as independent
    witnesses; of several suspicions of one position the strongest counts.
    """
    seen: dict[str, dict[str, Suspect]] = {}
    for position, family, spec, duty in found:
        for suspect in family.suspects(family.complete(spec), duty):
            at = seen.setdefault(suspect.id, {})
            if position not in at or at[position].strength < suspect.strength:
                at[position] = suspect
    merged = [_merge(cause, by_position) for cause, by_position in seen.items()]
    return tuple(sorted(merged, key=lambda c: (-len(c.positions), -c.strength, c.id)))


def _merge(cause: str, by_position: dict[str, Suspect]) -> SharedCause:
    ranked = sorted(by_position.items(), key=lambda item: (-item[1].strength, item[0]))
    suspects = [suspect for _, suspect in ranked]
    return SharedCause(
        id=cause,
        title=suspects[0].title,
        positions=tuple(position for position, _ in ranked),
        why=tuple(f"{position}: {suspect.why}" for position, suspect in ranked),
        ask=tuple(dict.fromkeys(s.ask for s in suspects if s.ask)),
        then=tuple(dict.fromkeys(s.then for s in suspects if s.then)),
        strength=1 - prod(1 - s.strength for s in suspects),
        sources=tuple(dict.fromkeys(s.source for s in suspects)),
    )
