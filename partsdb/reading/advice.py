"""The next best observation: expected information for the effort, and whether any is still worth making.

For an observation x with the tool's accuracy the expected information about L (which reading is true, or, when
a decision is given, which parts would do) is I(L; x) = Σ_k w_k E[log2 p(x | L(k)) / p(x)], k running over the
values the attribute takes in the weighted hypotheses (D. MacKay, "Information Theory, Inference, and Learning
Algorithms", 2003, chapter 8: mutual information). The expectation is taken by Gauss-Hermite quadrature at
every value, so overlapping values and wear are counted, not only distinct ones.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import log, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from partsdb.attributes import Attribute
from partsdb.family import Family, Measurement
from partsdb.model import Hypothesis, Identification, Observation, Spec
from partsdb.reading.instruments import bare, row_ends
from partsdb.reading.options import row_priors

Floats = NDArray[np.float64]
Decide = Callable[[Spec], Hashable]
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(9)
_MOST = 60  # hypotheses looked at
_LOOK_MINUTES, _LOOK_WORKS = (
    2.0,
    0.4,
)  # cleaning a plate and reading it again; how often that helps [judgement]
_LOOK_CAUTION = "isolate first; no solvent on a hot part; rub the dirt, not the print"
_ENOUGH = 0.99  # the hypotheses that count for a decision
_VALUES = 120  # distinct values of one attribute that are told apart
_ROWS = 60  # values an unknown attribute is spread over


@dataclass(frozen=True, slots=True)
class _Component:
    """One value that an attribute may have: weight, value [SI], the reading it belongs to, and its label."""

    weight: float
    value: float
    spec: Spec
    label: object


def information(weight: Floats, value: Floats, sd: Floats, labels: Sequence[object]) -> float:
    """I(label; observation) [bit] of normal observations around each value. NaN values say nothing: they are
    spread evenly over four decades."""
    if len(set(labels)) < 2 or not np.isfinite(value).any():
        return 0.0
    w = weight / weight.sum()
    known = np.isfinite(value)
    scale = float(np.nanmax(np.abs(value))) or 1.0
    flat = 1 / (scale * 4 * log(10))
    x = value[known][:, None] + sd[known][:, None] * _NODES[None, :]
    centre, spread = np.where(known, value, 0.0), np.where(known, sd, 1.0)
    z = (x[:, :, None] - centre) / spread
    density = np.where(known, np.exp(-0.5 * z * z) / (spread * sqrt(2 * pi)), flat)
    mixture = density @ w
    codes = {label: k for k, label in enumerate(dict.fromkeys(labels))}
    code = np.array([codes[label] for label in labels])
    same = (code[:, None] == code[None, :]) * w
    same = same / same.sum(axis=1, keepdims=True)
    own = np.einsum("knj,kj->kn", density, same[known])
    each = (np.log2(own) - np.log2(mixture)) @ (_WEIGHTS / _WEIGHTS.sum())
    return max(0.0, float(w[known] @ each))


def _values(
    family: Family, found: Hypothesis, how: Measurement, context_prior: Mapping[str, Floats]
) -> list[tuple[float, float]]:
    """(share, value) of the attribute under one hypothesis: what it says, or what its kind's rows would."""
    full = family.complete(found.spec).first(how.attribute)
    if full is not None and full.code is None and full.middle is not None:
        return [(1.0, full.middle)]
    for field in family.fields:
        if any(found.spec.has(bare(name)) for name in field.attributes):
            continue
        if not any(family.attribute(name).identity for name in field.attributes):
            continue  # it would tell something, but not what the part is
        ends = row_ends(family, field, field.rows, how.attribute)
        if ends is None:
            continue
        share = np.exp(context_prior[field.name])
        single = np.abs(ends[:, 1] - ends[:, 0]) <= 0.05 * np.abs(ends[:, 0])  # a range isn't one reading
        top = [k for k in np.argsort(-share)[:_ROWS] if single[k]]
        total = float(share[top].sum())
        if not top:
            continue
        return [(float(share[k]) / total, float(ends[k].mean())) for k in top]
    return [(1.0, float("nan"))]


def _components(
    family: Family,
    hypotheses: Sequence[Hypothesis],
    how: Measurement,
    prior: Mapping[str, Floats],
    label: Callable[[Hypothesis], object],
) -> list[_Component]:
    """The values the attribute may have, those alike added up; the likeliest first, at most _VALUES."""
    table: dict[tuple[object, object], _Component] = {}
    for found in hypotheses:
        key = label(found)
        for share, value in _values(family, found, how, prior):
            own = float(f"{value:.6g}") if value == value else None
            weight = found.probability * share
            name = (own, own if key is None else key)
            known = table.get(name)
            if known is None:
                table[name] = _Component(weight, value, found.spec, name[1])
            else:
                table[name] = replace(known, weight=known.weight + weight)
    return sorted(table.values(), key=lambda part: -part.weight)[:_VALUES]


def _spread(how: Measurement, value: Floats) -> Floats:
    """Standard deviation of the reading around each value, wear included [SI]."""
    tool = how.sd_abs + how.sd_rel * np.abs(value)
    worn = how.worn_sd * np.abs(value) if how.worn else 0.0
    return np.asarray(np.maximum(np.hypot(tool, worn), 1e-15))


def _outcomes(
    family: Family, parts: Sequence[_Component], attribute: Attribute
) -> tuple[tuple[str, float, str], ...]:
    """The likeliest results: (result, probability, what the part then is)."""
    total = sum(part.weight for part in parts)
    table: dict[str, list[_Component]] = {}
    for part in parts:
        if part.value == part.value:
            table.setdefault(f"about {attribute.spoken(part.value, part.value)}", []).append(part)
    ranked = sorted(table.items(), key=lambda item: -sum(p.weight for p in item[1]))[:4]
    return tuple(
        (text, sum(p.weight for p in group) / total, family.title_of(max(group, key=lambda p: p.weight).spec))
        for text, group in ranked
    )


def _measurements(
    family: Family,
    found: Identification,
    hypotheses: Sequence[Hypothesis],
    label: Callable[[Hypothesis], object],
) -> list[Observation]:
    done = {m.attribute for m in found.reading.measurements}
    prior = {f.name: row_priors(family, f, found.reading.context) for f in family.fields}
    advised = []
    for how in family.of_the_part:
        attribute = family.attribute(how.attribute)
        if how.attribute in done or attribute.unit is None:
            continue
        parts = _components(family, hypotheses, how, prior, label)
        value = np.array([part.value for part in parts])
        weight = np.array([part.weight for part in parts])
        share = float(sum(h.probability for h in hypotheses))
        bits = share * information(weight, value, _spread(how, value), [part.label for part in parts])
        if bits > 0.01:
            outcomes = _outcomes(family, parts, attribute)
            advised.append(Observation(how.attribute, how.tool, bits, how.minutes, how.caution, outcomes))
    return advised


def _looks(family: Family, found: Identification, hypotheses: Sequence[Hypothesis]) -> list[Observation]:
    """Reading a damaged place of the plate again: half-legible fields whose value is in doubt."""
    doubtful: dict[str, dict[str, list[Hypothesis]]] = {}
    for h in hypotheses:
        for evidence in h.evidence:
            if evidence.where is not None:
                f, start, end = evidence.where
                text = found.reading.fragments[f].text[start:end]
                if any(mark in text for mark in "?…[") or "..." in text:
                    doubtful.setdefault(evidence.attribute, {}).setdefault(evidence.says, []).append(h)
    advised = []
    for attribute, table in doubtful.items():
        shares = {says: sum(h.probability for h in group) for says, group in table.items()}
        total = sum(shares.values())
        bits = _LOOK_WORKS * -sum(p * np.log2(p / total) for p in shares.values() if p > 0)
        if bits > 0.01:
            top = sorted(shares, key=lambda says: -shares[says])[:4]
            outcomes = tuple((s, shares[s] / total, family.title_of(table[s][0].spec)) for s in top)
            tool = "clean the plate and read it again in slanting light"
            advised.append(Observation(attribute, tool, float(bits), _LOOK_MINUTES, _LOOK_CAUTION, outcomes))
    return advised


def advise(
    found: Identification, families: Mapping[str, Family], decide: Decide | None
) -> tuple[tuple[Observation, ...], bool]:
    """(observations worth making, most bits per minute first; whether the decision is settled already).

    With `decide` only what tells acceptable parts apart counts; settled: everything within the likeliest 99 %
    is served by the same parts.
    """
    label, settled = _labels(found, decide)
    advised: list[Observation] = []
    for name, share in found.families:
        family = families.get(name)
        hypotheses = [h for h in found.hypotheses[:_MOST] if h.spec.family == name]
        if family is None or share < 0.05 or not hypotheses:
            continue
        advised += _measurements(family, found, hypotheses, label)
        if decide is None or not settled:
            advised += _looks(family, found, hypotheses)
    return tuple(sorted(advised, key=lambda o: -o.rate)), settled


def _labels(found: Identification, decide: Decide | None) -> tuple[Callable[[Hypothesis], object], bool]:
    """What to tell apart (None: the value itself), and whether nothing is left to tell."""
    if decide is None:
        return (lambda _: None), False
    decisions = {h.spec.key: decide(h.spec) for h in found.hypotheses[:_MOST]}
    seen: set[Hashable] = set()
    total = 0.0
    for h in found.hypotheses[:_MOST]:
        if total < _ENOUGH:
            seen.add(decisions[h.spec.key])
            total += h.probability
    settled = total >= _ENOUGH and len(seen) == 1
    return (lambda h: decisions.get(h.spec.key)), settled
