"""The joint search: which field stands where, no glyph used twice, values that agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partsdb.family import Consistency, Family
from partsdb.reading.instruments import number_of
from partsdb.reading.options import Options

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
WINDOW = 24.0  # combinations this much worse than the best so far are dropped [nat]
MOST = 4000  # combinations kept between fields


@dataclass(frozen=True, slots=True, eq=False)
class Combos:
    """Combinations of one option per field: log score and option numbers, best first."""

    score: Floats
    pick: Ints


def _certainty(options: Options) -> float:
    """How much the field's best place beats its absence: the most certain fields are placed first."""
    absent = options.score[options.row < 0]
    return float(options.score[0] - (absent.max() if len(absent) else options.score[-1]))


def _numeric(family: Family, attribute: str) -> bool:
    return family.attribute(attribute).unit is not None


def attribute_array(
    family: Family, options: Sequence[Options], pick: Ints, attribute: str
) -> NDArray[np.generic]:
    """The attribute's value in every combination: floats with NaN, or code words with None."""
    numeric = _numeric(family, attribute)
    found = np.full(len(pick), np.nan) if numeric else np.full(len(pick), None, dtype=object)
    for k, one in enumerate(options):
        if attribute not in one.field.attributes:
            continue
        values = one.values(attribute)
        if numeric:
            column = np.array([sum(number_of(v)) / 2 for v in values])
            found = np.where(np.isnan(found), column[pick[:, k]], found)
        else:
            words = np.array([v if isinstance(v, str) else None for v in values], dtype=object)
            found = np.where([x is None for x in found], words[pick[:, k]], found)
    return found


def agreement(family: Family, factor: Consistency, options: Sequence[Options], pick: Ints) -> Floats:
    """A consistency factor over the combinations; whatever it can't say counts as 0."""
    arrays = [attribute_array(family, options, pick, name) for name in factor.attributes]
    with np.errstate(all="ignore"):
        result = np.asarray(factor.log_factor(*arrays), dtype=float)
    return np.asarray(
        np.minimum(np.nan_to_num(np.broadcast_to(result, (len(pick),)), nan=0.0, neginf=-30.0), 0.0)
    )


def _known_together(factor: Consistency, options: Sequence[Options]) -> int:
    """The step after which every field that the factor looks at has been placed; -1 when none has one."""
    steps = [k for k, one in enumerate(options) if set(factor.attributes) & set(one.field.attributes)]
    return max(steps, default=-1)


def combine(family: Family, fields: Sequence[Options]) -> tuple[tuple[Options, ...], Combos]:
    """The fields in the order of placing, and the best combinations over them."""
    options = tuple(sorted(fields, key=_certainty, reverse=True))
    words = options[0].mask.shape[1]
    score, mask, pick = np.zeros(1), np.zeros((1, words), dtype=np.uint64), np.zeros((1, 0), dtype=np.intp)
    for k, one in enumerate(options):
        joint = score[:, None] + one.score[None, :]
        clash = np.zeros(joint.shape, dtype=bool)
        for w in range(words):
            clash |= (mask[:, w : w + 1] & one.mask[None, :, w]) != 0
        joint[clash] = -np.inf
        base, own = np.nonzero(joint > joint.max() - WINDOW)
        new = joint[base, own]
        if len(new) > MOST:
            top = np.argpartition(-new, MOST)[:MOST]
            base, own, new = base[top], own[top], new[top]
        pick = np.concatenate([pick[base], own[:, None]], axis=1)
        mask, score = mask[base] | one.mask[own], new
        for factor in family.consistency:
            if _known_together(factor, options) == k:
                score = score + agreement(family, factor, options[: k + 1], pick)
    order = np.argsort(-score, kind="stable")
    return options, Combos(score[order], pick[order])


@dataclass(frozen=True, slots=True, eq=False)
class Groups:
    """Combinations that say the same part, added up; best first.

    score: log sum; pick: the best member; share: per field the group's belief in that member's content [-].
    """

    score: Floats
    pick: Ints
    share: Floats


def _codes(contents: Sequence[object]) -> Ints:
    """A number per distinct content."""
    known: dict[object, int] = {}
    return np.array([known.setdefault(c, len(known)) for c in contents], dtype=np.intp)


def _identity(family: Family, one: Options, k: int) -> object:
    """What option k says of the identity attributes of its field."""
    contents = one.contents(k)
    named = zip(one.field.attributes, contents or (None,) * len(one.field.attributes), strict=True)
    return tuple(c for name, c in named if family.attribute(name).identity)


def group(family: Family, options: Sequence[Options], combos: Combos) -> Groups:
    """Combinations with equal identity attributes as one; those that read nothing are left out."""
    read = np.zeros(len(combos.score), dtype=bool)
    identity, content = np.empty_like(combos.pick), np.empty_like(combos.pick)
    for f, one in enumerate(options):
        chosen, every = combos.pick[:, f], range(len(one.row))
        read |= one.row[chosen] >= 0
        identity[:, f] = _codes([_identity(family, one, k) for k in every])[chosen]
        content[:, f] = _codes([one.contents(k) for k in every])[chosen]
    score, pick, identity, content = combos.score[read], combos.pick[read], identity[read], content[read]
    _, first, member = np.unique(identity, axis=0, return_index=True, return_inverse=True)
    member = member.reshape(-1)
    total = np.full(len(first), -np.inf)
    np.logaddexp.at(total, member, score)
    share = np.empty((len(first), pick.shape[1]))
    within = np.exp(score - total[member])
    for f in range(pick.shape[1]):
        alike = content[:, f] == content[first[member], f]
        share[:, f] = np.bincount(member, weights=within * alike, minlength=len(first))
    order = np.argsort(-total, kind="stable")
    return Groups(total[order], pick[first][order], share[order])
