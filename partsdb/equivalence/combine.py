"""Several shelf parts acting as one: which pieces, how connected, and what that allows.

The search is over the sizes that drive the combination (see `sums`), smallest number of pieces first, nearest to
what the old part had first; every candidate passes the same judge as a single part, as a whole and element by
element. More pieces are only offered where they do better than fewer (a single part among them).

Exact as far as `search` is: see there.
"""

from __future__ import annotations

from collections.abc import Sequence

from partsdb.duty import Duty
from partsdb.family import Family
from partsdb.model import KnownPart, Outcome, Requirement, Verdict

from .envelope import Prepared, prepared
from .ranking import ranked
from .ruling import ACCEPTED, rank
from .search import Kin, kin_of, search_for
from .shortlist import equivalents

SINGLES = 50


def combinations(
    family: Family,
    requirements: Sequence[Requirement],
    shelf: Sequence[KnownPart],
    duty: Duty,
    *,
    safety_function: bool = False,
    most: int = 10,
    even_if_one_does: bool = False,
) -> tuple[Verdict, ...]:
    """The best combinations of two or more shelf pieces, best first; quantities are respected.

    Nothing is returned where a single shelf part does as well, unless `even_if_one_does` (when that one is
    wanted elsewhere). Verdict.parts names a part once for every piece used.
    """
    at = prepared(family, requirements, duty, safety_function=safety_function)
    fit = [p for p in shelf if p.quantity > 0 and p.condition != "suspect"]
    if not requirements or not family.combinations or not fit:
        return ()
    kin = kin_of(family, fit)
    bar: Outcome = "don't fit" if even_if_one_does else _best_single(at, kin)
    searches = [s for c in family.combinations if (s := search_for(at, c, kin)) is not None]
    found: list[Verdict] = []
    for careful in (True, False):
        for count in range(2, max((s.combination.max_elements for s in searches), default=1) + 1):
            better: list[Verdict] = []
            for search in searches:
                if count <= search.combination.max_elements:
                    better += search.best(count, bar, most, careful=careful)
            if better:
                found += better
                bar = min((v.outcome for v in better), key=rank)
            if rank(bar) <= rank("fits with work" if careful else "can't say yet"):
                break
        if found or bar in ACCEPTED:
            break
    return ranked(_worth(found))[:most]


def _worth(found: Sequence[Verdict]) -> list[Verdict]:
    """Those with more pieces only where they do better than every one with fewer."""
    kept = []
    for v in found:
        fewer = [rank(o.outcome) for o in found if len(o.parts) < len(v.parts)]
        if not fewer or rank(v.outcome) < min(fewer):
            kept.append(v)
    return kept


def _best_single(at: Prepared, kin_of_shelf: Sequence[Kin]) -> Outcome:
    """The best outcome of any single piece (of the most promising ones, when there are very many)."""
    pieces = [kin.pieces[0] for kin in kin_of_shelf]
    verdicts = equivalents(
        at.family, at.requirements, pieces, at.duty, safety_function=at.safety_function, most=SINGLES
    )
    return verdicts[0].outcome if verdicts else "don't fit"
