"""Scores to probabilities: the leftover, widening for model error, known parts under what the plate says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partsdb.family import Family
from partsdb.model import Hypothesis, Identification, Marginal, Reading, Spec, Value
from partsdb.reading.account import account_of
from partsdb.reading.channel import Plate
from partsdb.reading.drafts import Draft, Items, identity_items, same_items, without_loose_ends
from partsdb.reading.options import Options
from partsdb.source import on_record

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
SHARED = 0.3
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


def weights(drafts: Sequence[Draft], rest: float, else_: float) -> tuple[Floats, float, float]:
    """(probability of each draft, of all that wasn't written out, of something else); they sum to one. else_: log score
    of "something else" [nat]."""
    scores = np.array([*(d.score for d in drafts), rest, else_])
    p = np.exp(TEMPER * (scores - scores.max()))
    p *= (1 - LEAST_LEFT) / p.sum()
    return p[:-2], float(p[-2]), float(p[-1] + LEAST_LEFT)


def something_else(results: Sequence[FamilyResult], another: float, idle: float) -> float:
    """Log score of "something else" [nat]. another: evidence that the plate names a kind nobody here knows [nat]; idle:
    what its unexplained pieces cost the best known kind [nat]."""
    best = sorted((max(d.score for d in r.drafts) for r in results if r.drafts), reverse=True)
    if not best or another <= 0:
        return SOMETHING_ELSE + idle
    ahead = best[0] - (best[1] if len(best) > 1 else SOMETHING_ELSE + idle)
    word = min(another, -np.log(MENTIONED))
    return max(SOMETHING_ELSE + idle, float(best[0] + word + np.log(UNKNOWN_KINDS) - SHARED * ahead))


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
    # what the best one leaves unexplained is left by all that isn't written out, and by something else
    idle = max(drafts, key=lambda d: d.score).idle if drafts else 0.0
    rest = float(np.logaddexp.reduce([r.rest for r in results])) + idle
    else_ = SOMETHING_ELSE_NAMED + idle if named else something_else(results, another, idle)
    p, _, leftover = weights(drafts, rest, else_)
    if leftover > NOTHING_FITS:
        return Identification(reading, (), 1.0)
    groups = _worth_telling(_groups(drafts, p), keep)
    if not groups:
        return Identification(reading, (), 1.0)
    hypotheses = tuple(_hypothesis(reading, plate, drafts, p, group) for group in groups)
    shares = {r.family.name: 0.0 for r in results}
    for draft, share in zip(drafts, p, strict=True):
        shares[draft.family.name] += float(share)
    return Identification(
        reading,
        hypotheses,
        leftover,
        max(0.0, 1 - leftover - float(sum(h.probability for h in hypotheses))),
        _by_plate(reading, plate, drafts, rest, else_, keep) or hypotheses,
        tuple(sorted(((n, s) for n, s in shares.items() if s > 1e-4), key=lambda x: -x[1])),
        marginals(groups[0].family, hypotheses),
    )


def _by_plate(
    reading: Reading, plate: Plate, drafts: Sequence[Draft], rest: float, else_: float, keep: int
) -> tuple[Hypothesis, ...]:
    """What the plate says where the records know nothing but the parts whose number stands on it; of a plate that says
    nothing else, what of the known parts stands on it."""
    own = [replace(d, score=d.score - d.mixed) for d in drafts if d.part_id is None or d.number]
    if not own:
        own = [replace(d, spec=Spec(d.family.name, d.read), part_id=None) for d in drafts]
    p, _, _ = weights(own, rest, else_)
    groups = _worth_telling(_groups(own, p), keep)
    return tuple(_hypothesis(reading, plate, own, p, group) for group in groups)


def _worth_telling(groups: Sequence[_Group], keep: int) -> list[_Group]:
    """The groups that weigh something, at most so many; the first always."""
    return [g for n, g in enumerate(groups[:keep]) if n == 0 or g.weight > 1e-6]


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


def _hypothesis(
    reading: Reading, plate: Plate, drafts: Sequence[Draft], p: Floats, group: _Group
) -> Hypothesis:
    """One group as a hypothesis. A known part stands for the group when it holds most of it: then its
    specification is given, completed by the plate's."""
    members = [drafts[k] for k in group.members]
    plain = next((d for d in members if d.part_id is None), members[0])
    known = next((k for k in group.members if drafts[k].part_id is not None), None)
    same = known is not None and same_items(
        group.family, identity_items(group.family, drafts[known].spec), group.items
    )
    if known is None or not (same or p[known] > _WHOLE * group.weight):
        return _told(reading, plate, plain, plain.spec, group.weight)
    spec = drafts[known].spec
    said = {(v.attribute, v.qualifier, v.variant): v for v in plain.spec.values if plain.part_id is None}
    said |= {(v.attribute, v.qualifier, v.variant): v for v in drafts[known].read}
    number = drafts[known].number
    values = [_with_source(v, said.get((v.attribute, v.qualifier, v.variant)), number) for v in spec.values]
    had = {(v.attribute, v.qualifier, v.variant) for v in spec.values}
    values += [v for key, v in said.items() if key not in had]
    shown = members[0] if members[0].evidence else plain
    whole = replace(shown, part_id=drafts[known].part_id)
    return _told(reading, plate, whole, Spec(spec.family, tuple(values)), group.weight)


def _told(reading: Reading, plate: Plate, draft: Draft, spec: Spec, weight: float) -> Hypothesis:
    account = account_of(draft.family, reading, plate, draft.covered, draft.evidence)
    return Hypothesis(spec, weight, draft.part_id, draft.evidence, account)


def _with_source(recorded: Value, seen: Value | None, number: str) -> Value:
    """A known part's value; where the plate says the same, with the plate as its source, else as on record for its
    number where that stands on the plate."""
    if seen is not None and seen.key == recorded.key:
        return replace(recorded, source=seen.source, as_written=seen.as_written)
    return replace(recorded, source=on_record(number)) if number else recorded


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
