"""What two sources say of one part: kept side by side until a person, or a stated rule, settles it.

Parts are of one kind when maker and designation are the same; each source's part stays as it is in the records.
What is not settled counts as unknown, never as the more convenient of the two.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from partsdb.lineage import plain
from partsdb.model import Spec, Value
from partsdb.records import Part, Settlement
from partsdb.source import Provenance

CLOSE = 1e-6
"""Numbers nearer than this [-] say the same."""

Key = tuple[str, str, int]
"""Attribute, qualifier, connection variant."""


@dataclass(frozen=True, slots=True)
class Claim:
    """What one part record, from one source, says. origin: the list it came in, None when entered by hand."""

    part_id: str
    value: Value
    origin: Provenance | None = None


@dataclass(frozen=True, slots=True)
class Disagreement:
    """An attribute of which several sources say different things. settled: the claim believed, None = open;
    by, why: who settled it, or which rule."""

    maker: str
    designation: str
    attribute: str
    qualifier: str
    variant: int
    claims: tuple[Claim, ...]
    settled: Claim | None = None
    by: str = ""
    why: str = ""
    family: str = ""

    @property
    def key(self) -> Key:
        """What is disputed of the part."""
        return (self.attribute, self.qualifier, self.variant)


def _measured_first(claims: Sequence[Claim]) -> Claim | None:
    found = [claim for claim in claims if claim.value.source.status == "measured"]
    return found[0] if len(found) == 1 else None


def _surest(claims: Sequence[Claim]) -> Claim | None:
    ranked = sorted(claims, key=lambda claim: -claim.value.confidence)
    return ranked[0] if ranked[0].value.confidence > ranked[1].value.confidence else None


RULES: Mapping[str, tuple[str, Callable[[Sequence[Claim]], Claim | None]]] = {
    "measured": ("what was measured is believed before what was only stated", _measured_first),
    "surest": ("the value with the higher confidence is believed", _surest),
}
"""Rules a person may choose: name -> (what it says, the claim it believes or None)."""


def disagreements(
    parts: Iterable[Part], settlements: Iterable[Settlement] = (), *, rules: Sequence[str] = ()
) -> tuple[Disagreement, ...]:
    """Everything the sources disagree about, with what was settled. A person's word goes before any rule."""
    said = {
        (plain(s.maker), plain(s.designation), s.attribute, s.qualifier, s.variant): s for s in settlements
    }
    found = []
    for group in _groups(parts):
        for key, claims in _claims(group).items():
            if _differ(claims):
                first = group[0]
                open_one = Disagreement(
                    first.maker, first.designation, *key, tuple(claims), family=first.family
                )
                word = said.get((plain(group[0].maker), plain(group[0].designation), *key))
                found.append(_settled(open_one, word, rules))
    return tuple(found)


def agreed(group: Sequence[Part], open_or_settled: Iterable[Disagreement]) -> Spec:
    """What can be believed of one part by all its sources: what nobody disputes, and what was settled."""
    of = {plain(part.designation) for part in group}
    disputed = {
        (d.attribute, d.qualifier, d.variant): d for d in open_or_settled if plain(d.designation) in of
    }
    values = []
    for key, claims in _claims(group).items():
        dispute = disputed.get(key)
        if dispute is None:
            values.append(claims[0].value)
        elif dispute.settled is not None:
            values.append(dispute.settled.value)
    return Spec(group[0].spec.family, tuple(values))


def believed(parts: Sequence[Part], settlements: Sequence[Settlement]) -> tuple[Part, ...]:
    """The parts with every disputed value as it was settled, and without those that weren't: these count as unknown.

    What was measured on a piece in the drawer stays: it is of that piece, whatever a list says of its kind.
    """
    settled: dict[str, dict[Key, Value | None]] = {}
    for one in disagreements(parts, settlements):
        value = one.settled.value if one.settled else None
        for claim in one.claims:
            settled.setdefault(claim.part_id, {})[one.key] = value
    return tuple(_believed(part, settled[part.id]) if part.id in settled else part for part in parts)


def _believed(part: Part, settled: Mapping[Key, Value | None]) -> Part:
    values: list[Value] = []
    placed: set[Key] = set()
    for value in part.spec.values:
        key = (value.attribute, value.qualifier, value.variant)
        own = part.quantity > 0 and value.source.status == "measured"
        if key not in settled or own:
            values.append(value)
        elif (chosen := settled[key]) is not None and key not in placed:
            placed.add(key)
            values.append(chosen)
    return replace(part, spec=replace(part.spec, values=tuple(values)))


def _groups(parts: Iterable[Part]) -> Iterable[list[Part]]:
    groups: dict[tuple[str, str, str], list[Part]] = {}
    for part in parts:
        if part.designation:
            groups.setdefault((part.family, plain(part.maker), plain(part.designation)), []).append(part)
    return (group for group in groups.values() if len(group) > 1)


def _claims(group: Sequence[Part]) -> dict[Key, list[Claim]]:
    found: dict[Key, list[Claim]] = {}
    for part in group:
        for value in part.spec.values:
            found.setdefault((value.attribute, value.qualifier, value.variant), []).append(
                Claim(part.id, value)
            )
    return found


def _differ(claims: Sequence[Claim]) -> bool:
    """Whether any part says another thing than the first; one part may say several things, like two ratings."""
    by_part: dict[str, list[Value]] = {}
    for claim in claims:
        by_part.setdefault(claim.part_id, []).append(claim.value)
    first, *others = by_part.values()
    return any(not _covers(first, other) or not _covers(other, first) for other in others)


def _covers(said: Sequence[Value], other: Sequence[Value]) -> bool:
    return all(any(_same(one, another) for another in said) for one in other)


def _same(one: Value, other: Value) -> bool:
    return one.code == other.code and _near(one.low, other.low) and _near(one.high, other.high)


def _near(a: float | None, b: float | None) -> bool:
    return a == b if a is None or b is None else math.isclose(a, b, rel_tol=CLOSE)


def _settled(found: Disagreement, word: Settlement | None, rules: Sequence[str]) -> Disagreement:
    if word is not None:
        for claim in found.claims:
            if word.source in (claim.value.source.citation, _list_of(claim.value.source.citation)):
                return _with(found, claim, word.by, word.why)
    for name in rules:
        text, choose = RULES[name]
        chosen = choose(found.claims)
        if chosen is not None:
            return _with(found, chosen, f"rule {name!r}", text)
    return found


def _list_of(citation: str) -> str:
    """The list of "prices.csv:12": its rows move from one edition to the next."""
    name, _, row = citation.rpartition(":")
    return name if row.isdecimal() else citation


def _with(found: Disagreement, claim: Claim, by: str, why: str) -> Disagreement:
    return replace(found, settled=claim, by=by, why=why)
