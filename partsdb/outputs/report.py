"""Everything found about one failure as a page, and the four lines for greasy hands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from partsdb.equivalence import blocking, open_lines
from partsdb.family import Family
from partsdb.intervals import Interval
from partsdb.model import Limit, Outcome, Plan, Verdict
from partsdb.outputs.finding import (
    asking_lines,
    caution_lines,
    identification_lines,
    look_text,
    suspect_lines,
    verdict_lines,
    verdicts_lines,
)
from partsdb.outputs.words import amount, limit_text, percent, when, wrapped
from partsdb.results import FITTABLE, Found

# Below this belief a part that would fit is not yet one to fit. Judgement.
ENOUGH = 0.9
# Below this belief in what a place asks for nothing is asked of a supplier: even odds. Judgement.
ASKABLE = 0.5
USABLE: tuple[Outcome, ...] = (*FITTABLE, "temporary")


def found_lines(
    found: Found, families: Mapping[str, Family], width: int, *, most: int = 3, explain: bool = False
) -> list[str]:
    """Cautions, what it is, what may have killed it, what will do instead."""
    lines = caution_lines(found.cautions, width)
    lines += identification_lines(found.identification, families, width, explain=explain)
    lines += question_lines(found, width)
    lines += _truths(found, width)
    lines += suspect_lines(found.suspects, width, most=9 if explain else 2)
    lines += in_place_lines(found, width, explain)
    lines += _drawer(found, width, most, explain)
    lines += _offers(found, width, most, explain)
    if found.family and found.requirements and (explain or not found.offers):
        lines += asking_lines(found.family, found.requirements[0], width)
    return lines


def question_lines(found: Found, width: int) -> list[str]:
    """What nobody knows yet and what decides, with how to find out, told before anything is offered; and what was
    said of the place and isn't considered."""
    asked = {q: None for one in found.requirements for q in one.questions if blocking(q)}
    lines = [line for text in open_lines(asked) for line in wrapped(text, width, "  - ", "    ")]
    lines = ["FIND OUT FIRST", *lines] if lines else []
    of_plate = (
        g for h in found.identification.hypotheses[:1] for g in h.account if g.standing == "not considered"
    )
    unheard = dict.fromkeys(f"{g.text} ({g.says})" for g in of_plate)
    unheard |= dict.fromkeys(text for one in found.requirements for text in one.not_considered)
    told = f"not considered, as no rule of this kind looks at it: {'; '.join(unheard)}"
    return [*lines, *(wrapped(told, width, "! ") if unheard else [])]


def _truths(found: Found, width: int) -> list[str]:
    return [line for text in found.truths for line in wrapped(text, width, "! ")]


def in_place_lines(found: Found, width: int, explain: bool = False) -> list[str]:
    """The part that sits there, judged under the duty of today, when it is not simply right."""
    verdict = found.in_place
    if verdict is None or verdict.outcome in ("straight swap", "can't say yet"):
        return []
    return ["THE PART THAT SITS THERE", *verdict_lines(verdict, width, explain=explain)]


def _usable(verdicts: Sequence[Verdict]) -> tuple[Verdict, ...]:
    return tuple(v for v in verdicts if v.outcome in USABLE)


def _likely(found: Found) -> Sequence[Limit]:
    """The limits of the likeliest reading."""
    return found.requirements[0].limits if found.requirements else ()


def _drawer(found: Found, width: int, most: int, explain: bool) -> list[str]:
    lists = (
        ("IN THE DRAWER", _usable(found.shelf)),
        ("IN THE DRAWER, BUT NOT YET OR NEVER", tuple(v for v in found.shelf if v.outcome not in USABLE)),
        ("COMBINED FROM THE DRAWER", _usable(found.combinations)),
    )
    return [
        line
        for title, verdicts in lists
        for line in verdicts_lines(title, verdicts, width, most=most, explain=explain, limits=_likely(found))
    ]


def _offers(found: Found, width: int, most: int, explain: bool) -> list[str]:
    good = [o for o in found.offers if o.verdict.outcome in FITTABLE]
    if not good:
        refused = [o.verdict for o in found.offers]
        return verdicts_lines(
            "TO BUY, BUT", refused, width, most=most, explain=explain, limits=_likely(found)
        )
    lines = ["TO BUY"]
    for number, offered in enumerate(good[:most], 1):
        mark = f"  {number}. "
        lines += verdict_lines(offered.verdict, width, mark=mark, explain=explain, limits=_likely(found))
        offer = offered.offer
        lead = (
            ""
            if offer.stock == "in stock"
            else f", {offer.lead_days[0]} to {offer.lead_days[1]} working days"
        )
        lines += wrapped(f"{offered.supplier.name}: {offer.price}, {offer.stock}{lead}", width, "       ")
        if offered.stale:
            dated = f"a price of {offer.quoted_on:%d %b %Y}" if offer.quoted_on else "a price without a date"
            lines += wrapped(f"{dated}: ask again; its word about stock isn't counted on", width, "       ")
    return lines


def four_lines(found: Found, plan: Plan | None, zone: str, width: int) -> list[str]:
    """The short answer: what it is; fit this or don't; order this before; if it isn't here by then."""
    texts = (_what(found), _fit(found), _order(found, plan, zone), _otherwise(found, plan, zone))
    return [line for n, text in enumerate(texts, 1) for line in wrapped(text, width, f"{n} ")]


def _what(found: Found) -> str:
    best = found.identification.best
    if best is None or found.family is None or found.spec is None:
        return "None of the known kinds fits what you gave. Say the kind, or measure something."
    sure = percent(best.probability)
    text = f"It is: {found.family.title}, {found.family.title_of(found.spec)}, {sure} sure."
    if best.probability < 0.8 and found.identification.advice:
        look = found.identification.advice[0]
        caution = f" ({look.caution})" if look.caution else ""
        text += f" Check next: {look_text(look)}{caution}."
    return text


def _fit(found: Found) -> str:
    fitting = [v for v in (*found.shelf, *found.combinations) if v.outcome in FITTABLE]
    for verdict in fitting:
        if verdict.holds >= ENOUGH:
            work = "".join(f"; {change.text}" for change in verdict.changes)
            return f"Fit from the drawer: {verdict.title} ({verdict.outcome}{work})."
    if fitting:
        verdict = max(fitting, key=lambda v: v.holds)
        on = ", ".join(a.replace("_", " ") for a in verdict.depends_on) or "what it was"
        return (
            f"Don't fit anything yet. {verdict.title} would do for {percent(verdict.holds)} of what it may have "
            f"been: settle the {on} first."
        )
    for verdict in found.shelf:
        if verdict.outcome == "temporary":
            hours = verdict.stated_hours
            span = "attended only" if hours is None else f"at most {hours:,.0f} running hours"
            return (
                f"Stand-in from the drawer: {verdict.title}, {span}; only if {'; '.join(verdict.conditions)}."
            )
    if found.shelf:
        worst = found.shelf[0]
        reason = worst.missing[0] if worst.missing else worst.checks[0].reason if worst.checks else ""
        return f"Don't fit anything from the drawer. Nearest, {worst.title}: {worst.outcome}. {reason}"
    return "Nothing in the drawer is on record for this."


def _order(found: Found, plan: Plan | None, zone: str) -> str:
    if plan and plan.lines:
        texts = []
        for line in plan.lines:
            by = f" before {when(line.order_by, zone)}" if line.order_by else ""
            source = f" from {line.supplier}" if line.supplier else " from the drawer"
            verb = "Order" if line.supplier else "Use"
            texts.append(f"{verb} {line.title}{source}{by}")
        return f"{'; '.join(texts)}. Ready in time: {percent(plan.probability)}."
    good = [o for o in found.offers if o.verdict.outcome in FITTABLE]
    if good:
        return f"Ring {good[0].supplier.name} for {good[0].verdict.title}, {good[0].offer.price}."
    if found.family and found.requirements:
        asked = found.requirements[0].limits
        if sum(r.weight for r in found.requirements if r.limits == asked) < ASKABLE:
            return "Don't order yet: it isn't sure enough what it was. Settle line 1 first."
        limits = [x for x in asked if x.accept != Interval(None, None)]
        return "Ask a supplier for: " + "; ".join(limit_text(found.family, x) for x in limits[:6]) + "."
    return "Nothing to order yet."


def _otherwise(found: Found, plan: Plan | None, zone: str) -> str:
    if plan and plan.triggers:
        trigger = plan.triggers[0]
        text = trigger.text.replace("by then", f"by {when(trigger.by, zone)}")
        return f"{text[:1].upper()}{text[1:]}: {trigger.do}."
    if plan and plan.way_out:
        way = plan.way_out[0]
        price = amount(way.cost, plan.currency)
        return f"If it isn't here: {way.title} ({price}), decide by {when(way.decide_by, zone)}."
    if found.suspects:
        return f"Before you fit it: {found.suspects[0].title}? {found.suspects[0].ask}"
    if found.identification.advice:
        look = found.identification.advice[0]
        return f"While you wait, this tells most: {look_text(look)}."
    return "Write down what you fitted, so the next failure is easy."
