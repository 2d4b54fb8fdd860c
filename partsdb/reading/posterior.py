"""Scores to probabilities: the leftover, widening for model error, known parts under what the plate says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partsdb.family import Family
from partsdb.model import Hypothesis, Identification, Marginal, Reading, Spec, Value
from partsdb.reading.channel import Plate
from partsdb.reading.drafts import Draft, Items, identity_items, same_items, unread_of, without_loose_ends
from partsdb.reading.options import Options

Floats = NDArray[np.float64]
TEMPER = (
    1.0  # log odds are scaled by this: the channel, the priors and the maximum over alignments are models
)
SOMETHING_ELSE = 1.5  # evidence over chance that any known kind must beat [nat]
SOMETHING_ELSE_NAMED = -1.5  # the same when the person names the kind
# A plate that names a kind nobody here knows ("THERMOSTAT 250 V 10 A") carries volts and amperes like any other.
# Judgement: a known kind's plate mentions such a word once in a hundred; unknown kinds together are as frequent as
# one known kind in eight; what speaks for one known kind alone counts half, because unknown ones share such marks.
MENTIONED = 0.01
UNKNOWN_KINDS = 1 / 8
SHARED = 0.4
LEAST_LEFT = 0.005  # share always left for what no family lists
NOTHING_FITS = 0.8  # above this leftover there is no answer
_WHOLE = 0.5  # a known part with this share of what fits the plate stands for all of it


@dataclass(frozen=True, slots=True)
class FamilyResult:
    """One family's drafts, the options they were made from, and the log score of all that wasn't written out."""

    family: Family
    drafts: tuple[Draft, ...]
    options: tuple[Options, ...]
    rest: float = -np.inf


@dataclass(slots=True)
class _Group:
    """Drafts that say the same part."""

    family: Family
    items: Items
    members: list[int]
    weight: float

    @property
    def size(self) -> int:
        return len(self.items)


def weights(drafts: Sequence[Draft], rest: float, else_: float) -> tuple[Floats, float]:
    """(probability of each draft, leftover); they sum to one. else_: log score of "something else" [nat]."""
    scores = np.array([*(d.score for d in drafts), else_, rest])
    p = np.exp(TEMPER * (scores - scores.max()))
    p /= p.sum()
    p *= 1 - LEAST_LEFT
    return p[:-2], float(1 - p[:-2].sum())


def something_else(results: Sequence[FamilyResult], another: float) -> float:
    """Log score of "something else" [nat]. another: evidence that the plate names a kind nobody here knows [nat]."""
    best = sorted((max(d.score for d in r.drafts) for r in results if r.drafts), reverse=True)
    if not best or another <= 0:
        return SOMETHING_ELSE
    ahead = best[0] - (best[1] if len(best) > 1 else SOMETHING_ELSE)
    word = min(another, -np.log(MENTIONED))
    return max(SOMETHING_ELSE, float(best[0] + word + np.log(UNKNOWN_KINDS) - SHARED * ahead))


def identification(
    reading: Reading,
    plate: Plate,
    results: Sequence[FamilyResult],
    *,
    keep: int,
    named: bool,
    another: float = 0.0,
) -> Identification:
    """The posterior of all families' drafts. named: the person says the kind; another: evidence that the plate
    names a kind nobody here knows [nat]."""
    drafts = [d for result in results for d in result.drafts]
    else_ = SOMETHING_ELSE_NAMED if named else something_else(results, another)
    p, leftover = weights(drafts, float(np.logaddexp.reduce([r.rest for r in results])), else_)
    if leftover > NOTHING_FITS:
        return Identification(reading, (), 1.0, unread=unread_of(reading, plate, frozenset()))
    groups = _groups(drafts, p)
    hypotheses = tuple(_hypothesis(drafts, p, group) for group in groups[:keep] if group.weight > 1e-6)
    shares = {r.family.name: 0.0 for r in results}
    for draft, share in zip(drafts, p, strict=True):
        shares[draft.family.name] += float(share)
    best = groups[0]
    return Identification(
        reading,
        hypotheses,
        max(0.0, float(1 - sum(h.probability for h in hypotheses))),
        tuple(sorted(((n, s) for n, s in shares.items() if s > 1e-4), key=lambda x: -x[1])),
        marginals(best.family, hypotheses),
        unread=unread_of(reading, plate, drafts[best.members[0]].covered),
    )


def _groups(drafts: Sequence[Draft], p: Floats) -> list[_Group]:
    """Drafts with equal identity attributes, numbers being equal as the family takes them to be (1430 and 1440 rpm);
    a known part that only adds what the plate leaves open joins the fullest constructed specification that it
    completes. Most probable first."""
    alike: dict[tuple[str, Items], list[_Group]] = {}
    groups: list[_Group] = []
    for k in np.argsort(-p, kind="stable"):
        family = drafts[k].family
        items = identity_items(family, drafts[k].spec)
        near = alike.setdefault((family.name, without_loose_ends(family, items)), [])
        group = next((g for g in near if same_items(family, g.items, items)), None)
        if group is None:
            group = _Group(family, items, [], 0.0)
            near.append(group)
            groups.append(group)
        group.members.append(int(k))
        group.weight += float(p[k])
    open_ = [g for g in groups if any(drafts[k].part_id is None for k in g.members)][:80]
    kept = []
    for group in groups:
        wider = [g for g in open_ if g.family is group.family and g.items < group.items]
        if wider and all(drafts[k].part_id is not None for k in group.members):
            host = max(wider, key=lambda g: (g.size, g.weight))
            host.members += group.members
            host.weight += group.weight
        else:
            kept.append(group)
    for group in kept:
        group.members.sort(key=lambda k: -p[k])
    return sorted(kept, key=lambda g: -g.weight)


def _hypothesis(drafts: Sequence[Draft], p: Floats, group: _Group) -> Hypothesis:
    """One group as a hypothesis. A known part stands for the group when it holds most of it: then its
    specification is given, completed by the plate's."""
    members = [drafts[k] for k in group.members]
    plain = next((d for d in members if d.part_id is None), members[0])
    known = next((k for k in group.members if drafts[k].part_id is not None), None)
    same = known is not None and same_items(
        group.family, identity_items(group.family, drafts[known].spec), group.items
    )
    if known is None or not (same or p[known] > _WHOLE * group.weight):
        return Hypothesis(plain.spec, group.weight, None, plain.evidence)
    spec = drafts[known].spec
    said = {(v.attribute, v.qualifier, v.variant): v for v in plain.spec.values}
    values = [_with_source(v, said.get((v.attribute, v.qualifier, v.variant))) for v in spec.values]
    had = {(v.attribute, v.qualifier, v.variant) for v in spec.values}
    values += [v for key, v in said.items() if key not in had]
    evidence = members[0].evidence or plain.evidence
    return Hypothesis(Spec(spec.family, tuple(values)), group.weight, drafts[known].part_id, evidence)


def _with_source(recorded: Value, seen: Value | None) -> Value:
    """A known part's value; where the plate says the same, with the plate as its source."""
    if seen is None or seen.key != recorded.key:
        return recorded
    return replace(recorded, source=seen.source, as_written=seen.as_written)


def marginals(family: Family, hypotheses: Sequence[Hypothesis]) -> tuple[Marginal, ...]:
    """What is believed of each attribute of the most probable family; None takes what is not known."""
    tables: dict[tuple[str, str, int], dict[object, tuple[Value, float]]] = {}
    for found in hypotheses:
        said = {value.key: value for value in found.spec.values if found.spec.family == family.name}
        for value in said.values():
            table = tables.setdefault((value.attribute, value.qualifier, value.variant), {})
            known = table.get(value.key, (value, 0.0))
            table[value.key] = (known[0], known[1] + found.probability * value.confidence)
    found_ = []
    for (attribute, qualifier, variant), table in tables.items():
        outcomes: list[tuple[Value | None, float]] = list(sorted(table.values(), key=lambda x: -x[1])[:12])
        unknown = 1 - sum(share for _, share in outcomes)
        if unknown > 1e-6:
            outcomes.append((None, unknown))
        outcomes.sort(key=lambda x: -x[1])
        name = attribute + (f"@{qualifier}" if qualifier else "") + (f"#{variant}" if variant else "")
        found_.append(Marginal(name, tuple(outcomes)))
    return tuple(found_)
