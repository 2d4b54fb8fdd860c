"""One verdict over all readings, from what each of them allows. The rules stand in `judge`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from partsdb.model import Change, Check, Outcome, Question, Spec, Verdict

from .envelope import Prepared
from .ruling import ACCEPTED, Finding, Ruling, of_condition, of_questions, rank, rule, worse
from .wording import blocking, differences, how_to_get, open_lines

RULED_OUT = 0.05  # readings that together have no more than this share of what is believed are ruled out [-]


def settled(
    at: Prepared,
    parts: tuple[str, ...],
    title: str,
    spec: Spec,
    by_reading: Sequence[Sequence[Finding]],
    condition: str,
    more: Ruling,
    shown: tuple[Check, ...] = (),
    answered: frozenset[Question] = frozenset(),
) -> Verdict:
    """The verdict over all readings, from the findings of each.

    `more` holds whatever the reading, and `shown` are the checks that say so; `answered` are the questions that this
    part answers by carrying the same piece as the old one.
    """
    questions = tuple(q for q in at.questions if q not in answered)
    shelf, shelf_checks = of_condition(
        at.family, condition, spec, at.duty, safety_function=at.safety_function
    )
    memo: dict[int, Ruling] = {}
    rulings = [
        rule(at.family, one, at.duty, safety_function=at.safety_function, memo=memo).also(
            of_questions(
                (q for q in wanted.questions if q not in answered), safety_function=at.safety_function
            ),
            shelf,
            more,
        )
        for wanted, one in zip(at.requirements, by_reading, strict=True)
    ]
    weights = [one.weight for one in at.requirements]
    over = _over(weights, rulings)
    decisive = [r for r, h in zip(rulings, over.holds_for, strict=True) if h] or rulings
    apart = _apart(by_reading, over, weights, memo)
    return Verdict(
        parts,
        title,
        over.outcome,
        shelf_checks + _with_shown(_ordered(by_reading, over.holds_for, weights), shown),
        holds=over.holds,
        depends_on=apart,
        changes=() if over.outcome == "don't fit" else _changes(decisive, weights, rulings),
        conditions=_all(r.conditions for r in decisive) if over.outcome == "temporary" else (),
        questions=questions,
        missing=_facts(at, over.outcome, apart, rulings, questions),
        differs=differences(at.family, at.requirements[0].spec, spec),
        fits=tuple(r.fits for r in rulings),
    )


def _changes(
    decisive: Sequence[Ruling], weights: Sequence[float], rulings: Sequence[Ruling]
) -> tuple[Change, ...]:
    """What is to be done, but for what only far-fetched readings ask: nobody turns a ring for one in a hundred."""
    needed: dict[Change, float] = {}
    for ruling, weight in zip(rulings, weights, strict=True):
        for change in ruling.changes:
            needed[change] = needed.get(change, 0.0) + weight
    enough = sum(weights) * RULED_OUT
    return tuple(change for change in _all(r.changes for r in decisive) if needed[change] >= enough)


T = TypeVar("T")


def _all(groups: Iterable[tuple[T, ...]]) -> tuple[T, ...]:
    """Everything in the groups once, in order."""
    return tuple(dict.fromkeys(one for group in groups for one in group))


@dataclass(frozen=True, slots=True)
class _Over:
    outcome: Outcome
    holds: float
    holds_for: tuple[bool, ...]


def _over(weights: Sequence[float], rulings: Sequence[Ruling]) -> _Over:
    """The outcome over all readings, its probability, and for which readings it holds as it stands: the best one that
    holds for every reading that isn't ruled out. Where some of those refuse and others accept, it can't be said yet."""
    total = sum(weights)
    weights = weights if total > 0 else [1.0] * len(rulings)
    whole = sum(weights)
    outcome = next(
        candidate
        for candidate in sorted({r.outcome for r in rulings}, key=rank)
        if _mass(weights, [rank(r.outcome) > rank(candidate) for r in rulings]) <= RULED_OUT * whole
    )
    open_ = _mass(weights, [r.outcome != "don't fit" for r in rulings])
    if outcome == "don't fit" and open_ > RULED_OUT * whole:
        outcome = "can't say yet"
    safety = worse(*(r.safety for r in rulings))
    forced = worse(outcome, "can't say yet" if rank(safety) > rank("can't say yet") else safety)
    doubted = outcome in ACCEPTED and forced not in ACCEPTED
    outcome = forced
    if outcome in ACCEPTED:
        holds_for = tuple(rank(r.outcome) <= rank(outcome) for r in rulings)
    else:
        holds_for = tuple(r.outcome not in ACCEPTED for r in rulings)
    # a doubt about safety under one reading is a doubt under all of them
    mass = total if doubted else _mass(weights, holds_for) if total > 0 else 0.0
    return _Over(outcome, mass, holds_for)


def outcome_over(weights: Sequence[float], rulings: Sequence[Ruling]) -> Outcome:
    """The outcome over all readings."""
    return _over(weights, rulings).outcome


def _mass(weights: Sequence[float], of: Sequence[bool]) -> float:
    return sum(w for w, there in zip(weights, of, strict=True) if there)


def _apart(
    by_reading: Sequence[Sequence[Finding]],
    over: _Over,
    weights: Sequence[float],
    memo: Mapping[int, Ruling],
) -> tuple[str, ...]:
    """The attributes on which the readings part: they rule the part out under some and not under others.

    First the one that does so under the heaviest readings.
    """
    if all(over.holds_for) or not any(over.holds_for):
        return ()
    allowed = rank(over.outcome if over.outcome in ACCEPTED else "temporary")
    mass: dict[str, float] = {}
    for findings, weight in zip(by_reading, weights, strict=True):
        against = {f.check.limit.attribute for f in findings if rank(memo[id(f)].outcome) > allowed}
        for name in sorted(against):
            mass[name] = mass.get(name, 0.0) + weight
    return tuple(sorted(mass, key=lambda name: -mass[name]))


def _facts(
    at: Prepared,
    outcome: Outcome,
    apart: Sequence[str],
    rulings: Sequence[Ruling],
    questions: Sequence[Question],
) -> tuple[str, ...]:
    """What is to be found out first: what was there, where the readings part, then what the part offers."""
    if outcome in ACCEPTED:
        return ()
    asked = {limit.attribute: limit for limit in reversed(at.limits)}
    was = [f"what was there - {how_to_get(at.family, asked[name])}" for name in apart if name in asked]
    about_it = [fact for ruling in rulings for fact in ruling.missing]
    open_ones = open_lines(filter(blocking, questions)) if outcome == "can't say yet" else ()
    return tuple(dict.fromkeys((*open_ones, *(was if outcome == "can't say yet" else ()), *about_it)))


_WEIGHTS = ("safety", "function", "fit", "life")


def _ordered(
    by_reading: Sequence[Sequence[Finding]], holds_for: Sequence[bool], weights: Sequence[float]
) -> tuple[Check, ...]:
    """Every check once, the decisive first: of the readings the outcome holds for, then by what it rules out."""
    readings = sorted(range(len(by_reading)), key=lambda h: (not holds_for[h], -weights[h]))
    places: dict[tuple[str, str], tuple[bool, Check]] = {}
    for h in readings:
        for f in by_reading[h]:
            places.setdefault((f.check.limit.weight, f.check.reason), (not holds_for[h], f.check))
    return tuple(c for _, c in sorted(places.values(), key=lambda item: (item[0], *_severity(item[1]))))


def _with_shown(ordered: tuple[Check, ...], shown: tuple[Check, ...]) -> tuple[Check, ...]:
    """What holds whatever the reading comes behind what rules the part itself out."""
    out = sum(c.status == "breach" and not c.in_reach for c in ordered)
    return ordered[:out] + shown + ordered[out:]


def _severity(check: Check) -> tuple[int, int, float]:
    level = {"breach": 2 if check.in_reach else 0, "unknown": 1, "pass": 3}[check.status]
    margin = check.margin if check.margin is not None else float("inf")
    return level, _WEIGHTS.index(check.limit.weight), margin
