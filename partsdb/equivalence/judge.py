"""What may be done with one part at one place, over every reading of what the place held.

Each reading is ruled on its own (see `ruling`). Over all readings:
- safety takes the worst of them, however improbable: a safety limit that fails or is unknown under one reading
  makes "can't say yet" under all, naming what to measure;
- otherwise the outcome is the best one that holds for more than half of what is believed; when that is a refusal
  but some readings accept, it is "can't say yet" and names what it depends on.
A part with several connections is judged in each and the best is taken. All of this is judgement.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from partsdb.duty import Duty, number
from partsdb.family import Family, requirement
from partsdb.model import Caution, Change, Check, KnownPart, Life, Limit, Outcome, Requirement, Spec, Verdict
from partsdb.source import PRACTICE, judgement

from .cautions import cautions
from .checks import check, serving
from .envelope import Place, place, saying
from .ranking import order
from .ruling import ACCEPTED, TRUSTED, Finding, Ruling, of_condition, of_quantity, rank, rule, untested, worse
from .wording import differences, how_to_get, is_question, said

LIFE_SAFETY = 0.5  # a stand-in is stated for half of its cautious life [-] (judgement)
REFUSAL_DOUBT = 0.05  # above this share of readings that accept, a refusal becomes "can't say yet" [-]
LICENSED = Caution(
    "licensed",
    "This position protects people: a licensed person decides what goes in, and signs for it. Follow your local code.",
    judgement("emergency stops, guards, hoists and brakes aren't left to a program"),
)


def judge(
    family: Family,
    requirements: Sequence[Requirement],
    part: KnownPart,
    duty: Duty,
    *,
    safety_function: bool = False,
) -> Verdict:
    """The verdict on one part; `fits` is aligned with `requirements`."""
    return judge_at(place(family, requirements, duty, safety_function=safety_function), part)


def in_place(family: Family, spec: Spec, duty: Duty, *, safety_function: bool = False) -> Verdict:
    """The verdict on the part that sits there, under the duty as it is now (supply on another frequency, ...).

    Limits that don't come from the duty and that its plate doesn't answer are left out: it is what it is, and only
    what changed is in question. "straight swap" reads: leave it; "temporary": may run on for the stated time under
    the conditions.
    """
    full = family.complete(spec)
    part = KnownPart("in place", spec, title=family.title_of(full))
    own = requirement(family, spec, duty)
    new = tuple(x for x in own.limits if not _asks_of_itself(family, x, full))
    return judge(family, [replace(own, limits=new)], part, duty, safety_function=safety_function)


def _asks_of_itself(family: Family, limit: Limit, full: Spec) -> bool:
    """A limit that only says what the part's own plate would have to say: nothing the duty changed."""
    of_duty = limit.follows_from.startswith("duty") or is_question(limit)
    return not of_duty and not serving(family, limit, full)


def judge_at(at: Place, part: KnownPart) -> Verdict:
    """The verdict on one part at a place made ready."""
    full = at.family.complete(part.spec)
    title = part.title or at.family.title_of(full)
    if not at.requirements:
        return Verdict((part.id,), title, "can't say yet", (), 0.0, missing=("what the part was",))
    connections = full.variants()
    verdicts = [_connected(at, part, title, full.variant(n)) for n in connections]
    best = min(range(len(verdicts)), key=lambda i: (order(verdicts[i]), i))
    verdict, spec = verdicts[best], full.variant(connections[best])
    if len(connections) > 1 and verdict.outcome in ACCEPTED:
        verdict = replace(
            verdict, changes=(_connection(at.family, full, connections[best]), *verdict.changes)
        )
    return furnished(at, verdict, spec)


def _connected(at: Place, part: KnownPart, title: str, spec: Spec) -> Verdict:
    """The bare verdict on one connection of the part."""
    findings = findings_on(at, spec, part.condition)
    by_reading = [[findings[i] for i in asked] for asked in at.asks]
    enough, shown = of_quantity(at.family, part, spec, at.requirements[0].spec, at.duty)
    return settled(at, (part.id,), title, spec, by_reading, part.condition, enough, shown)


def findings_on(at: Place, spec: Spec, condition: str, *, say: bool = True) -> list[Finding]:
    """Every distinct limit of the place held against the specification, in the place's order."""
    offered = frozenset(map(saying, spec.values))
    same = [was.same_as(offered) for was in at.was]
    found = []
    for i, limit in enumerate(at.limits):
        alike = all(same[h] for h in at.askers[i]) and _like_for_like(at, i, spec)
        made = check(at.family, limit, spec, same_thing=alike, safety_function=at.safety_function, say=say)
        finding = Finding(made, spec, alike=alike)
        found.append(finding if condition in TRUSTED else untested(finding))
    return found


def _like_for_like(at: Place, i: int, spec: Spec) -> bool:
    """Whether the limit comes from the old part, not the duty, and the old one carries the very value offered."""
    limit = at.limits[i]
    if limit.follows_from.startswith("duty"):
        return False
    own = set(map(saying, serving(at.family, limit, spec)))
    return all(own & at.was[h].keys for h in at.askers[i])


# --------------------------------------------------------------------------- over all readings


def settled(
    at: Place,
    parts: tuple[str, ...],
    title: str,
    spec: Spec,
    by_reading: Sequence[Sequence[Finding]],
    condition: str,
    more: Ruling,
    shown: tuple[Check, ...] = (),
) -> Verdict:
    """The verdict over all readings, from the findings of each.

    `more` holds whatever the reading, and `shown` are the checks that say so.
    """
    shelf, shelf_checks = of_condition(
        at.family, condition, spec, at.duty, safety_function=at.safety_function
    )
    memo: dict[int, Ruling] = {}
    rulings = [
        rule(at.family, findings, at.duty, safety_function=at.safety_function, memo=memo).also(shelf, more)
        for findings in by_reading
    ]
    weights = [one.weight for one in at.requirements]
    over = _over(weights, rulings)
    decisive = [r for r, h in zip(rulings, over.holds_for, strict=True) if h] or rulings
    apart = _apart(by_reading, over.holds_for)
    conditions = tuple(dict.fromkeys(c for r in decisive for c in r.conditions))
    return Verdict(
        parts,
        title,
        over.outcome,
        shelf_checks + _with_shown(_ordered(by_reading, over.holds_for, weights), shown),
        holds=over.holds,
        depends_on=apart,
        changes=()
        if over.outcome == "don't fit"
        else tuple(dict.fromkeys(c for r in decisive for c in r.changes)),
        conditions=conditions if over.outcome == "temporary" else (),
        missing=_facts(at, over.outcome, apart, rulings),
        differs=differences(at.family, at.requirements[0].spec, spec),
        fits=tuple(r.fits for r in rulings),
    )


@dataclass(frozen=True, slots=True)
class _Over:
    outcome: Outcome
    holds: float
    holds_for: tuple[bool, ...]


def _over(weights: Sequence[float], rulings: Sequence[Ruling]) -> _Over:
    """The outcome over all readings, its probability, and for which readings it holds as it stands."""
    total = sum(weights)
    weights = weights if total > 0 else [1.0] * len(rulings)
    half = sum(weights) / 2
    outcomes = sorted({r.outcome for r in rulings}, key=rank)
    outcome = outcomes[-1]
    for candidate in outcomes:
        if _mass(weights, [rank(r.outcome) <= rank(candidate) for r in rulings]) > half * (1 + 1e-9):
            outcome = candidate
            break
    accepting = _mass(weights, [r.outcome in ACCEPTED for r in rulings])
    if outcome == "don't fit" and accepting > 2 * half * REFUSAL_DOUBT:
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


def _apart(by_reading: Sequence[Sequence[Finding]], holds_for: Sequence[bool]) -> tuple[str, ...]:
    """The attributes on which the readings part: not passed where the outcome doesn't hold the same way."""
    if all(holds_for) or not any(holds_for):
        return ()
    failed: dict[bool, dict[str, None]] = {True: {}, False: {}}
    for findings, holds in zip(by_reading, holds_for, strict=True):
        for f in findings:
            if f.check.status != "pass":
                failed[holds][f.check.limit.attribute] = None
    one_sided = [
        name for name in (*failed[False], *failed[True]) if (name in failed[True]) != (name in failed[False])
    ]
    return tuple(dict.fromkeys(one_sided or (*failed[False], *failed[True])))


def _facts(at: Place, outcome: Outcome, apart: Sequence[str], rulings: Sequence[Ruling]) -> tuple[str, ...]:
    """What is to be found out first: what was there, where the readings part, then what the part offers."""
    if outcome in ACCEPTED:
        return ()
    asked = {limit.attribute: limit for limit in reversed(at.limits)}
    was = [f"what was there - {how_to_get(at.family, asked[name])}" for name in apart if name in asked]
    about_it = [fact for ruling in rulings for fact in ruling.missing]
    return tuple(dict.fromkeys((was if outcome == "can't say yet" else []) + about_it))


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


# --------------------------------------------------------------------------- what goes with a verdict


def _connection(family: Family, full: Spec, n: int) -> Change:
    """The connection to make: "connect for 220 V"."""
    own = [v for v in full.values if v.variant == n]
    value = next((v for v in own if family.attribute(v.attribute).unit == "V"), own[0])
    text = f"connect for {said(family.attribute(value.attribute), value)}"
    return Change("connection", text, 0.0, PRACTICE)


def furnished(at: Place, verdict: Verdict, spec: Spec) -> Verdict:
    """The verdict with life, stated time, cautions and what goes with the part."""
    family, duty = at.family, at.duty
    life = family.life(spec, duty) if family.life else None
    verdict = replace(
        verdict,
        life=life,
        cautions=cautions(family, spec, duty),
        goes_with=tuple(family.goes_with(spec, duty)),
        after_fitting=tuple(family.after_fitting(spec, duty)),
    )
    if verdict.outcome == "temporary":
        verdict = _stated(verdict, life, duty)
    if at.safety_function:
        verdict = replace(verdict, cautions=(LICENSED, *verdict.cautions))
    return verdict


def _stated(verdict: Verdict, life: Life | None, duty: Duty) -> Verdict:
    """A temporary part with its stated time, or attended only when its life can't be worked out."""
    if life is None or life.low is None:
        why = "somebody stands by while it runs: nobody can say how long it lasts"
        return replace(verdict, stated_hours=None, conditions=(*verdict.conditions, why))
    hours = life.low * LIFE_SAFETY
    a_day = number(duty, "hours_per_day")
    days = f", about {hours / a_day:,.0f} working days" if a_day else ""
    limit = f"it is replaced within {hours:,.0f} h of running{days}"
    return replace(verdict, stated_hours=hours, conditions=(*verdict.conditions, limit))
