"""From a reading to weighted specifications: `identify`.

plate glyphs -> places per field (scoring) -> options (options) -> combinations (beam) -> drafts (drafts)
known parts (known) join under one mixture prior -> posterior (posterior) -> advice (advice)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import log

import numpy as np
from numpy.typing import NDArray

from partsdb.family import Family, family_named
from partsdb.model import Identification, Reading
from partsdb.reading import posterior
from partsdb.reading.advice import Decide, advise
from partsdb.reading.align import steps_of
from partsdb.reading.beam import Groups, combine, group
from partsdb.reading.channel import Plate, plate_of
from partsdb.reading.drafts import Scribe, drafts_of
from partsdb.reading.instruments import foreign
from partsdb.reading.known import Index
from partsdb.reading.labels import claims
from partsdb.reading.lexicon import Lexicon, lexicon_of
from partsdb.reading.options import Options, absence, options_of, row_priors
from partsdb.reading.posterior import FamilyResult
from partsdb.reading.recall import Query, items_of, recalled
from partsdb.reading.scoring import Margins, Places, margins_of, names_another_kind, names_of, places_of

Floats = NDArray[np.float64]
_KNOWN = 0.5  # prior share of parts that are on record, where the records are large [-]
_LARGE = 2000  # parts of a kind at which records hold half of that share: a drawer of ten is no catalogue
NOTHING = -1e3  # log score of what isn't there
_NEAR = 16.0  # hypotheses this much worse than the best of all are added up, not written out [nat]
_MOST_WRITTEN = 80  # hypotheses of one family that are written out
_MOST_MEASURED = 250  # the same where a measurement has yet to be held against each
_FLOOR = -9.0  # a place this much worse than the field's absence isn't worth keeping [nat]


def _places(
    lexicon: Lexicon, plate: Plate, margins: Margins, reading: Reading
) -> tuple[list[Places], list[Floats]]:
    priors, floors = [], []
    for slot in lexicon.slots:
        priors.append(row_priors(lexicon.families[slot.family], slot.field, reading.context))
        p_absent = absence(slot.field, plate)
        floors.append(log(p_absent) - log(1 - p_absent) + _FLOOR)
    claimed = [claims(reading, plate, family.name) for family in lexicon.families]
    return places_of(lexicon, plate, margins, priors, floors, claimed), priors


def _chosen(families: Mapping[str, Family], reading: Reading) -> tuple[Family, ...]:
    """The families that compete: all of them, or the one that the context names."""
    if reading.context.family:
        return (family_named(reading.context.family, families),)
    return tuple(families.values())


def identify(
    reading: Reading,
    families: Mapping[str, Family],
    index: Index | None = None,
    *,
    decide: Decide | None = None,
    keep: int = 30,
) -> Identification:
    """What the part was: the posterior over specifications and known parts.

    families: the kinds that compete, by name. index: known parts (`build_index`). decide: specification -> what it
    comes to; when all that is still plausible decides alike, the result is settled.
    keep: hypotheses reported. Raises NotFound when the context names a family that isn't there.
    """
    chosen = _chosen(families, reading)
    if not chosen:
        return Identification(reading, (), 1.0)
    plate, lexicon = plate_of(reading), lexicon_of(chosen)
    margins = margins_of(lexicon, plate)
    places, priors = _places(lexicon, plate, margins, reading)
    steps = steps_of(plate), steps_of(plate, backwards=True)
    total = sum(family.prior for family in chosen)
    candidates = []
    for number, family in enumerate(chosen):
        own = [k for k, found in enumerate(places) if found.slot.family == number]
        options = [options_of(family, places[k], plate, priors[k], reading.measurements) for k in own]
        query = Query(
            reading,
            plate,
            [places[k] for k in own],
            options,
            *steps,
            items_of(options, plate) if index else [],
            [priors[k] for k in own],
        )
        candidates.append((family, query, log(family.prior / total) + foreign(family, reading.measurements)))
    searched = _searched_all(candidates)
    best = max(float(c.groups.score[0]) if len(c.groups.score) else NOTHING for c in searched)
    results = [_result(c, index, best) for c in searched]
    named = bool(reading.context.family)
    another = 0.0 if named else names_another_kind(margins, names_of(chosen))
    found = posterior.identification(reading, plate, results, keep=keep, named=named, another=another)
    advice, settled = advise(found, families, decide)
    return replace(found, advice=advice, settled=settled)


@dataclass(frozen=True, slots=True, eq=False)
class _Searched:
    """A family's search: the plate's scores, its options in order of placing, what they can say together."""

    family: Family
    query: Query
    options: tuple[Options, ...]
    groups: Groups
    shift: float


def _searched_all(candidates: list[tuple[Family, Query, float]]) -> list[_Searched]:
    """The families searched, most promising first; one that can't come near the best is left out."""

    def bound(candidate: tuple[Family, Query, float]) -> float:
        return candidate[2] + sum(float(o.score[0]) for o in candidate[1].options)

    best, found = NOTHING, []
    for candidate in sorted(candidates, key=bound, reverse=True):
        if bound(candidate) > best - _NEAR:
            found.append(_searched(*candidate))
            scores = found[-1].groups.score
            best = max(best, float(scores[0]) if len(scores) else NOTHING)
    return found


def _searched(family: Family, query: Query, shift: float) -> _Searched:
    """The joint search of one family; `shift`, its prior and what it can't explain, counted into the scores."""
    if not query.options:
        empty = np.empty(0), np.empty((0, 0), dtype=np.intp), np.empty((0, 0))
        return _Searched(family, query, (), Groups(*empty), shift)
    placed, combos = combine(family, query.options)
    groups = group(family, placed, combos)
    return _Searched(family, query, placed, replace(groups, score=groups.score + shift), shift)


def _result(found: _Searched, index: Index | None, best: float) -> FamilyResult:
    """The family's drafts, constructed and known, under one mixture prior; what lies far below the best of all
    families isn't written out."""
    family, query, groups = found.family, found.query, found.groups
    scribe = Scribe(family, query.reading, query.plate)
    near = int((groups.score > best - _NEAR).sum())
    written = min(near, _MOST_MEASURED if query.reading.measurements else _MOST_WRITTEN)
    drafts = drafts_of(scribe, found.options, groups, written)
    rest = float(np.logaddexp.reduce(groups.score[written:])) if written < len(groups.score) else NOTHING
    known = index.by_family.get(family.name) if index else None
    if known is not None and query.options:
        share = _KNOWN * len(known.parts) / (len(known.parts) + _LARGE)
        drafts = [replace(d, score=d.score + log(1 - share), mixed=log(1 - share)) for d in drafts]
        each = log(share) + found.shift
        drafts += [replace(d, score=d.score + each) for d in recalled(known, query, scribe)]
    return FamilyResult(family, tuple(map(scribe.charged, drafts)), found.options, rest)
