"""Tables of probability over shared states, multiplied and summed exactly.

A shared state is a supplier's slow spell or the carriage of a parcel: several lines depend on it, so their
delays come together. A Factor is a probability for every combination of the states it depends on, and for
every number of late days (last axis).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce

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
        for name in self.names:
            table = np.tensordot(priors[name], table, axes=(0, 0))
        return np.asarray(table)


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
    left = list(factors)
    names = {name for factor in left for name in factor.names}
    while names:
        sizes = {name: _size(left, name, priors) for name in names}
        name = min(sorted(names), key=sizes.__getitem__)
        if sizes[name] > MOST_STATES:
            return drawn(left, priors)
        touched = [factor for factor in left if name in factor.names]
        product = reduce(Factor.times, touched)
        axis = product.names.index(name)
        summed = np.tensordot(priors[name], product.table, axes=(0, axis))
        rest = tuple(n for n in product.names if n != name)
        left = [factor for factor in left if name not in factor.names] + [Factor(rest, summed)]
        names.remove(name)
    return np.asarray(reduce(np.multiply, (factor.table for factor in left)))


def is_exact(factors: Sequence[Factor], priors: Mapping[str, Floats]) -> bool:
    """Whether `joint` sums these factors exactly."""
    scopes = [set(factor.names) for factor in factors]
    names = set().union(*scopes) if scopes else set()
    while names:
        merged = {name: set().union(*(s for s in scopes if name in s)) for name in names}
        sizes = {name: math.prod(len(priors[n]) for n in merged[name]) for name in names}
        name = min(sorted(names), key=sizes.__getitem__)
        if sizes[name] > MOST_STATES:
            return False
        scopes = [s for s in scopes if name not in s] + [merged[name] - {name}]
        names.remove(name)
    return True


def _size(factors: Iterable[Factor], name: str, priors: Mapping[str, Floats]) -> int:
    scope = {other for factor in factors if name in factor.names for other in factor.names}
    return math.prod(len(priors[other]) for other in scope)


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
