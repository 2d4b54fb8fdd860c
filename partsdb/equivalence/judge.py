"""What may be done with one part at one place, over every reading of what the place held.

Each reading is ruled on its own (see `ruling`). Over all readings:
- safety takes the worst of them, however improbable: a safety limit that fails or is unknown under one reading
  makes "can't say yet" under all, naming what to measure;
- otherwise the outcome is the best one that holds for every reading that isn't ruled out (those of less than one
  twentieth of what is believed, together); when that is a refusal but other readings accept, it is "can't say yet" and
  names what it depends on.
A part with several connections is judged in each and the best is taken. All of this is judgement.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from partsdb.duty import Duty, number
from partsdb.family import Family
from partsdb.kit import requirement
from partsdb.model import Caution, Change, KnownPart, Life, Limit, Requirement, Spec, Verdict
from partsdb.source import PRACTICE, judgement

from .cautions import cautions
from .checks import check, serving
from .envelope import Prepared, prepared, saying
from .overall import settled
from .ranking import order
from .ruling import ACCEPTED, TRUSTED, Finding, of_quantity, of_unread, untested
from .wording import said

LIFE_SAFETY = 0.5  # a stand-in is stated for half of its cautious life [-] (judgement)
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
    return judge_at(prepared(family, requirements, duty, safety_function=safety_function), part)


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
    of_place = tuple(q for q in own.questions if not q.of_part)
    asked = replace(own, limits=new, questions=of_place)
    return judge(family, [asked], part, duty, safety_function=safety_function)


def _asks_of_itself(family: Family, limit: Limit, full: Spec) -> bool:
    """A limit that only says what the part's own plate would have to say: nothing the duty changed."""
    return not limit.follows_from.startswith("duty") and not serving(family, limit, full)


def judge_at(at: Prepared, part: KnownPart) -> Verdict:
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


def _connected(at: Prepared, part: KnownPart, title: str, spec: Spec) -> Verdict:
    """The bare verdict on one connection of the part."""
    findings = findings_on(at, spec, part.condition)
    by_reading = [[findings[i] for i in asked] for asked in at.asks]
    enough, counted = of_quantity(at.family, part, spec, at.requirements[0].spec, at.duty)
    clear, odd, alike = of_unread((part,), at.questions)
    more, shown = enough.also(clear), (*odd, *counted)
    return settled(at, (part.id,), title, spec, by_reading, part.condition, more, shown, alike)


def findings_on(at: Prepared, spec: Spec, condition: str, *, say: bool = True) -> list[Finding]:
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


def _like_for_like(at: Prepared, i: int, spec: Spec) -> bool:
    """Whether the limit comes from the old part, not the duty, and the old one carries the very value offered."""
    limit = at.limits[i]
    if limit.follows_from.startswith("duty"):
        return False
    own = set(map(saying, serving(at.family, limit, spec)))
    return all(own & at.was[h].keys for h in at.askers[i])


# --------------------------------------------------------------------------- what goes with a verdict


def _connection(family: Family, full: Spec, n: int) -> Change:
    """The connection to make: "connect for 220 V"."""
    own = [v for v in full.values if v.variant == n]
    value = next((v for v in own if family.attribute(v.attribute).unit == "V"), own[0])
    text = f"connect for {said(family.attribute(value.attribute), value)}"
    return Change("connection", text, 0.0, PRACTICE)


def furnished(at: Prepared, verdict: Verdict, spec: Spec) -> Verdict:
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
