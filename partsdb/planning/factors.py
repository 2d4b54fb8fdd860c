"""Tables of probability over shared states, multiplied and summed exactly.

A shared state is a supplier's slow spell or the carriage of a parcel: several lines depend on it, so their
delays come together. A Factor is a probability for every combination of the states it depends on, and for
every number of late days (last axis).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, reduce

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
MOST_STATES = 400_000  # joint states summed exactly; above it, states are drawn
DRAWS = 20_000


@dataclass(frozen=True, slots=True)
class Factor:
    """names: the shared states it depends on, ascending; table: one axis a name, then one for late days."""

    names: tuple[str, ...]
    table: Floats

    def over(self, names: tuple[str, ...]) -> Floats:
        """The table with an axis for each of `names`, of length one where it doesn't depend on it."""
        if names == self.names:
            return self.table
        index = tuple(slice(None) if name in self.names else None for name in names)
        return self.table[(*index, ...)]

    def times(self, other: Factor) -> Factor:
        """Both happen, given the states."""
        names = union(self.names, other.names)
        return Factor(names, self.over(names) * other.over(names))

    def at_least(self, other: Factor) -> bool:
        """Whether this is nowhere smaller than `other`, in every state and for every number of late days."""
        names = union(self.names, other.names)
        return bool((self.over(names) >= other.over(names) - 1e-12).all())

    def first(self, levels: int) -> Factor:
        """Only the first `levels` numbers of late days."""
        return Factor(self.names, self.table[..., :levels])

    def mean(self, priors: Mapping[str, Floats], power: float = 1.0) -> Floats:
        """E[table ** power] over the states, per number of late days."""
        table = self.table if power == 1.0 else self.table**power
        levels = table.shape[-1]
        for name in self.names:
            prior = priors[name]
            table = prior @ table.reshape(len(prior), -1)
        return np.asarray(table.reshape(levels))


def constant(values: Floats) -> Factor:
    """A Factor that depends on no state."""
    return Factor((), values)


def union(one: tuple[str, ...], two: tuple[str, ...]) -> tuple[str, ...]:
    """The names of both, ascending."""
    if one == two or not two:
        return one
    return tuple(sorted({*one, *two})) if one else two


def joint(factors: Sequence[Factor], priors: Mapping[str, Floats]) -> Floats:
    """E over all shared states of the product of the factors, per number of late days.

    Exact by summing out one state after the other, fewest combinations first; where the combinations would
    be more than MOST_STATES, `drawn` estimates it.
    """
    order = _elimination(*_scopes(factors, priors))
    if order is None:
        return drawn(factors, priors)
    left = list(factors)
    for name in order:
        product = reduce(Factor.times, (factor for factor in left if name in factor.names))
        axis = product.names.index(name)
        others = (n for n in range(product.table.ndim) if n != axis)
        table = product.table.transpose(axis, *others)
        summed = (priors[name] @ table.reshape(len(priors[name]), -1)).reshape(table.shape[1:])
        rest = product.names[:axis] + product.names[axis + 1 :]
        left = [factor for factor in left if name not in factor.names]
        left.append(Factor(rest, summed))
    return np.asarray(reduce(np.multiply, (factor.table for factor in left)))


def is_exact(factors: Sequence[Factor], priors: Mapping[str, Floats]) -> bool:
    """Whether `joint` sums these factors exactly."""
    return _elimination(*_scopes(factors, priors)) is not None


Scopes = tuple[tuple[str, ...], ...]


def _scopes(
    factors: Sequence[Factor], priors: Mapping[str, Floats]
) -> tuple[Scopes, tuple[tuple[int, ...], ...]]:
    scopes = tuple(factor.names for factor in factors)
    return scopes, tuple(tuple(len(priors[name]) for name in scope) for scope in scopes)


@lru_cache(maxsize=20_000)
def _elimination(scopes: Scopes, lengths: tuple[tuple[int, ...], ...]) -> tuple[str, ...] | None:
    """An order in which the states are summed out with small products; None when one gets too large."""
    size = {
        n: c for scope, many in zip(scopes, lengths, strict=True) for n, c in zip(scope, many, strict=True)
    }
    left = [frozenset(scope) for scope in scopes if scope]
    order: list[str] = []
    while left:
        merged = {
            name: frozenset().union(*(s for s in left if name in s)) for name in size if name not in order
        }
        cells = {name: math.prod(size[n] for n in scope) for name, scope in merged.items()}
        name = min(sorted(cells), key=cells.__getitem__)
        if cells[name] > MOST_STATES:
            return None
        left = [s for s in (*(s for s in left if name not in s), merged[name] - {name}) if s]
        order.append(name)
    return tuple(order)


def drawn(factors: Sequence[Factor], priors: Mapping[str, Floats], seed: int = 7) -> Floats:
    """An estimate of `joint` from DRAWS draws of the shared states; given the states it is exact."""
    names = sorted({name for factor in factors for name in factor.names})
    rng = np.random.default_rng(seed)
    # one stratified, shuffled uniform a state: every state's own share is hit almost exactly
    state = {
        name: np.searchsorted(
            np.cumsum(priors[name])[:-1], (rng.permutation(DRAWS) + rng.random(DRAWS)) / DRAWS, side="right"
        )
        for name in names
    }
    total = np.ones((DRAWS, factors[0].table.shape[-1]))
    for factor in factors:
        total *= factor.table[tuple(state[name] for name in factor.names)]
    return np.asarray(total.mean(axis=0))
