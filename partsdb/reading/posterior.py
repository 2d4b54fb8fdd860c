"""Scores to probabilities: the leftover, widening for model error, marginals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partsdb.family import Family
from partsdb.model import Hypothesis, Identification, Marginal, Reading, Spec, Value
from partsdb.reading.channel import Plate
from partsdb.reading.drafts import Draft, identity_key, unread_of
from partsdb.reading.options import Options

Floats = NDArray[np.float64]
TEMPER = (
    0.85  # log odds are scaled by this: the channel, the priors and the maximum over alignments are models
)
SOMETHING_ELSE = 5.0  # evidence over chance that any known kind must beat [nat]
SOMETHING_ELSE_NAMED = 1.5  # the same when the person names the kind
LEAST_LEFT = 0.005  # share always left for what no family lists
NOTHING_FITS = 0.85  # above this leftover there is no answer


@dataclass(frozen=True, slots=True)
class FamilyResult:
    """One family's drafts (best first) and the options they were made from."""

    family: Family
    drafts: tuple[Draft, ...]
    options: tuple[Options, ...]


def weights(drafts: Sequence[Draft], named: bool) -> tuple[Floats, float]:
    """(probability of each draft, leftover); they sum to one."""
    scores = np.array([d.score for d in drafts] + [SOMETHING_ELSE_NAMED if named else SOMETHING_ELSE])
    p = np.exp(TEMPER * (scores - scores.max()))
    p /= p.sum()
    p[:-1] *= 1 - LEAST_LEFT
    return p[:-1], float(1 - p[:-1].sum())


def identification(
    reading: Reading, plate: Plate, results: Sequence[FamilyResult], *, keep: int, named: bool
) -> Identification:
    """The posterior of all families' drafts."""
    drafts = [d for result in results for d in result.drafts]
    p, leftover = weights(drafts, named)
    if leftover > NOTHING_FITS:
        return Identification(reading, (), 1.0, unread=unread_of(reading, plate, frozenset()))
    groups = _groups(drafts, p)
    hypotheses = tuple(_hypothesis(drafts, p, group) for group in groups[:keep] if p[group].sum() > 1e-6)
    shares = {r.family.name: 0.0 for r in results}
    for draft, share in zip(drafts, p, strict=True):
        shares[draft.family.name] += float(share)
    families = tuple(sorted(((n, s) for n, s in shares.items() if s > 1e-4), key=lambda x: -x[1]))
    best = drafts[groups[0][0]]
    return Identification(
        reading,
        hypotheses,
        max(0.0, float(1 - sum(h.probability for h in hypotheses))),
        families,
        marginals(best.family, drafts, p),
        unread=unread_of(reading, plate, best.covered),
    )


def _groups(drafts: Sequence[Draft], p: Floats) -> list[list[int]]:
    """Drafts that say the same part (equal identity attributes), most probable group and member first."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for k in np.argsort(-p, kind="stable"):
        groups.setdefault(identity_key(drafts[k].family, drafts[k].spec), []).append(int(k))
    return sorted(groups.values(), key=lambda group: -float(p[group].sum()))


def _hypothesis(drafts: Sequence[Draft], p: Floats, group: list[int]) -> Hypothesis:
    """One group as a hypothesis: a known part's specification where there is one, completed by the plate's;
    each value's confidence is its share within the group."""
    total = float(p[group].sum())
    first = drafts[group[0]]
    known = next((drafts[k] for k in group if drafts[k].part_id is not None), None)
    spec = first.spec
    if known is not None:
        said = {(v.attribute, v.qualifier, v.variant) for v in known.spec.values}
        more = (v for v in first.spec.values if (v.attribute, v.qualifier, v.variant) not in said)
        spec = known.spec.plus(more)
    share: dict[object, float] = {}
    for k in group:
        for key in {v.key for v in drafts[k].spec.values}:
            share[key] = share.get(key, 0.0) + float(p[k])
    values = tuple(replace(v, confidence=min(1.0, share.get(v.key, total) / total)) for v in spec.values)
    part_id = known.part_id if known is not None else None
    return Hypothesis(Spec(spec.family, values), total, part_id, first.evidence)


def marginals(family: Family, drafts: Sequence[Draft], p: Floats) -> tuple[Marginal, ...]:
    """What is believed of each attribute of the most probable family; None takes what is not known."""
    tables: dict[tuple[str, str, int], dict[object, tuple[Value, float]]] = {}
    for draft, share in zip(drafts, p, strict=True):
        for value in draft.spec.values if draft.family is family else ():
            table = tables.setdefault((value.attribute, value.qualifier, value.variant), {})
            known = table.get(value.key, (value, 0.0))
            table[value.key] = (known[0], known[1] + float(share))
    found = []
    for (attribute, qualifier, variant), table in tables.items():
        outcomes: list[tuple[Value | None, float]] = list(sorted(table.values(), key=lambda x: -x[1])[:12])
        unknown = 1 - sum(share for _, share in outcomes)
        if unknown > 1e-6:
            outcomes.append((None, unknown))
        outcomes.sort(key=lambda x: -x[1])
        name = attribute + (f"@{qualifier}" if qualifier else "") + (f"#{variant}" if variant else "")
        found.append(Marginal(name, tuple(outcomes)))
    return tuple(found)
