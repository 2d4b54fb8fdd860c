"""Specifications of any family for property tests: complete ones, near neighbours, and tightened limits."""

from __future__ import annotations

import random
from dataclasses import replace

from partsdb.family import Family
from partsdb.intervals import Interval
from partsdb.kit import requirement
from partsdb.model import Limit, Spec, Value
from partsdb.source import Source

STATED = Source("plate", "stated")
FACTORS = (0.5, 0.8, 0.95, 0.999, 1.0, 1.001, 1.05, 1.25, 2.0)


def complete_spec(family: Family, rng: random.Random) -> Spec:
    """Every field filled with one of its rows, and what follows from it; all of it counts as stated.

    Class attributes that no field carries get the best of their ladder, or any of their words.
    """
    values: list[Value] = []
    for field in family.fields:
        row = rng.choice(field.rows)
        for name, x in zip(field.attributes, row.values, strict=True):
            if x is not None:
                values.append(_value(name, x))
    full = family.complete(Spec(family.name, tuple(values)))
    known = {v.attribute for v in full.values}
    for attribute in family.attributes:
        if attribute.codes and attribute.name not in known:
            code = attribute.ladder[-1] if attribute.ladder else rng.choice(sorted(attribute.codes))
            values.append(Value(attribute.name, code=code, source=STATED))
    full = family.complete(Spec(family.name, tuple(values)))
    full = full.plus(_asked_words(family, full))
    return replace(full, values=tuple(replace(v, source=STATED) for v in full.values))


def stated_spec(family: Family, rng: random.Random) -> Spec:
    """What a plate, a look and a rule may state of one part without contradicting itself: what follows from the rest
    is left to follow, and a rating is stated under one condition: another that the plate doesn't name isn't promised.
    Fields come in any order, so that now one and now the other is what follows."""
    spec = Spec(family.name)
    for field in rng.sample(family.fields, len(family.fields)):
        row = rng.choice(field.rows)
        new = [_value(name, x) for name, x in zip(field.attributes, row.values, strict=True) if x is not None]
        spec = spec.plus(new) if _agrees(family, spec, new) else spec
    for attribute in family.attributes:
        if attribute.codes:
            code = attribute.ladder[-1] if attribute.ladder else rng.choice(sorted(attribute.codes))
            new = [Value(attribute.name, code=code, source=STATED)]
            spec = spec.plus(new) if _agrees(family, spec, new) else spec
    return spec


def _agrees(family: Family, spec: Spec, new: list[Value]) -> bool:
    """Whether the values say something new, and nothing follows from them that is stated otherwise."""
    known = {(v.attribute, v.qualifier) for v in family.complete(spec).values}
    rated = {attribute for attribute, qualifier in known if qualifier}
    if any((v.attribute, v.qualifier) in known or v.attribute in rated for v in new):
        return False
    stated = spec.plus(new)
    says = {(v.attribute, v.qualifier): v.key for v in stated.values}
    under = {v.attribute for v in stated.values if v.qualifier}
    follows = [*family.derive(stated)]
    for attribute in {v.attribute for v in stated.values}:  # what the rest says of it, were it not stated
        follows += (v for v in family.derive(stated.without(attribute)) if v.attribute == attribute)
    return all(
        says.get((v.attribute, v.qualifier), v.key) == v.key and v.attribute not in under for v in follows
    )


def _asked_words(family: Family, spec: Spec) -> list[Value]:
    """Words that the specification's own requirement asks for and nothing in it says (a filling free of PCB)."""
    return [
        Value(x.attribute, code=x.accept[0])
        for x in requirement(family, spec, {}).limits
        if isinstance(x.accept, tuple) and x.accept and not spec.has(x.attribute)
    ]


def _value(name: str, x: float | str | tuple[float, float]) -> Value:
    bare, _, qualifier = name.partition("@")
    bare, _, variant = bare.partition("#")
    low, high, code = (
        (None, None, x) if isinstance(x, str) else (*x, None) if isinstance(x, tuple) else (x, x, None)
    )
    return Value(bare, low, high, code, qualifier, int(variant or 0), STATED)


def neighbour(
    family: Family, spec: Spec, rng: random.Random, *, forget: float = 0.1, change: float = 0.2
) -> Spec:
    """The specification with some values a step away and some forgotten."""
    values = []
    for v in spec.values:
        if rng.random() < forget:
            continue
        if rng.random() < change:
            v = _moved(family, v, rng)
        values.append(v)
    return replace(spec, values=tuple(values))


def _moved(family: Family, value: Value, rng: random.Random) -> Value:
    if value.code is not None:
        codes = sorted(family.attribute(value.attribute).codes)
        return replace(value, code=rng.choice(codes)) if codes else value
    low, high = value.low, value.high
    factor = rng.choice(FACTORS)
    low = None if low is None or rng.random() < 0.05 else low * factor
    high = None if high is None or rng.random() < 0.05 else high * factor
    if low is not None and high is not None and rng.random() < 0.2:
        low, high = low * 0.97, high * 1.02
    return replace(value, low=low, high=high)


def tightened(limit: Limit, rng: random.Random) -> Limit:
    """The limit asking more than before; `reach` stays."""
    accept = limit.accept
    if not isinstance(accept, Interval):
        cut = rng.randint(0, len(accept) - 1) if accept else 0
        return replace(limit, accept=accept[cut:], reach=limit.reach or accept)
    low, high = accept.low, accept.high
    by = rng.choice((0.001, 0.05, 0.3, 2.0))
    if limit.kind == "covers":
        return replace(
            limit,
            accept=Interval(
                None if low is None else low - abs(low) * by, None if high is None else high + abs(high) * by
            ),
        )
    if low is not None and high is not None:
        share = rng.random() * 0.5
        gap = (high - low) * share
        return replace(limit, accept=Interval(low + gap, max(low + gap, high - gap)))
    low = None if low is None else low + abs(low) * by
    high = None if high is None else high - abs(high) * by
    return replace(limit, accept=Interval(low, high))
