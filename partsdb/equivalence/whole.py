"""One combination of parts: its specification as a whole, judged as a whole and element by element."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from partsdb.family import Combination, Family
from partsdb.model import Change, KnownPart, Outcome, Requirement, Spec, Value, Verdict
from partsdb.source import Source

from .checks import check, worked_out
from .envelope import Prepared
from .judge import findings_on, furnished, judge_at
from .overall import outcome_over, settled
from .ruling import TRUSTED, Finding, Ruling, of_condition, of_questions, of_unread, rank, rule, untested


def judge_combination(at: Prepared, combination: Combination, parts: Sequence[KnownPart]) -> Verdict:
    """The verdict on several pieces acting as one; one piece is judged as itself.

    A combination is at best "fits with work": it has to be wired or mounted together.
    """
    if len(parts) == 1:
        return judge_at(at, parts[0])
    specs = [at.family.complete(p.spec) for p in parts]
    whole = whole_of(at.family, combination, specs)
    titles = [p.title or at.family.title_of(s) for p, s in zip(parts, specs, strict=True)]
    counted = [f"{n} × {title}" if n > 1 else title for title, n in Counter(titles).items()]
    title = f"{' + '.join(counted)}, {combination.kind}"
    by_reading = findings(at, combination, parts, specs, whole, titles)
    ids = tuple(p.id for p in parts)
    clear, odd, alike = of_unread(parts, at.questions)
    more = joined(combination, len(parts)).also(clear)
    verdict = settled(at, ids, title, whole, by_reading, worst_condition(parts), more, odd, alike)
    lines = (
        *combination.build(specs, at.duty),
        *((f"Never: {combination.never}",) if combination.never else ()),
    )
    return replace(furnished(at, verdict, whole), wiring="\n".join(lines))


def outcome_of(
    at: Prepared, combination: Combination, parts: Sequence[KnownPart], specs: Sequence[Spec], bar: Outcome
) -> Outcome:
    """The outcome alone, without sentences: what the search asks many thousand times.

    The elements come first; where they alone are no better than `bar`, the whole isn't looked at.
    """
    condition = worst_condition(parts)
    weights = [one.weight for one in at.requirements]
    rulings = [
        rule(
            at.family,
            of_elements(at, combination, parts, specs, one),
            at.duty,
            safety_function=at.safety_function,
        ).also(of_questions(one.questions, safety_function=at.safety_function))
        for one in at.requirements
    ]
    so_far = outcome_over(weights, rulings)
    if rank(so_far) >= rank(bar):
        return so_far
    whole = whole_of(at.family, combination, specs)
    shelf, _ = of_condition(at.family, condition, whole, at.duty, safety_function=at.safety_function)
    more = joined(combination, len(parts)).also(shelf, of_unread(parts, at.questions)[0])
    on_whole = findings_on(at, whole, condition, say=False)
    memo: dict[int, Ruling] = {}
    rulings = [
        r.also(
            rule(
                at.family,
                [on_whole[i] for i in asked],
                at.duty,
                safety_function=at.safety_function,
                memo=memo,
            ),
            more,
        )
        for r, asked in zip(rulings, at.asks, strict=True)
    ]
    return outcome_over(weights, rulings)


def joined(combination: Combination, count: int) -> Ruling:
    """Putting several together is work."""
    text = f"connect {count} as one: {combination.kind}"
    return Ruling("fits with work", changes=(Change("wiring", text, 0.25 * count, combination.source),))


def findings(
    at: Prepared,
    combination: Combination,
    parts: Sequence[KnownPart],
    specs: Sequence[Spec],
    whole: Spec,
    titles: Sequence[str],
) -> list[list[Finding]]:
    """The findings of each reading: on the whole, and on every element against its share."""
    on_whole = findings_on(at, whole, worst_condition(parts))
    return [
        [on_whole[i] for i in asked] + of_elements(at, combination, parts, specs, one, titles)
        for one, asked in zip(at.requirements, at.asks, strict=True)
    ]


def of_elements(
    at: Prepared,
    combination: Combination,
    parts: Sequence[KnownPart],
    specs: Sequence[Spec],
    one: Requirement,
    titles: Sequence[str] = (),
) -> list[Finding]:
    """Every element held against its share of one reading's limits; without titles, without sentences."""
    found = []
    for n, limits in enumerate(combination.share(specs, one.limits, at.duty)):
        for limit in limits:
            made = check(at.family, limit, specs[n], safety_function=at.safety_function, say=bool(titles))
            if titles:
                made = replace(made, reason=f"{titles[n]}: {made.reason}")
            finding = Finding(made, specs[n])
            found.append(finding if parts[n].condition in TRUSTED else untested(finding))
    return found


def whole_of(family: Family, combination: Combination, specs: Sequence[Spec]) -> Spec:
    """The specification of the whole, completed.

    A rating that follows from stated ratings of every element counts as stated; where one of them is only
    worked out, so is the whole's. What the build itself adds (a discharge resistor) is there once it is built.
    """
    made = combination.whole(specs)
    values = tuple(_as_stated(v, specs) if worked_out(v) else v for v in made.values)
    return family.complete(Spec(made.family, values))


def _as_stated(value: Value, specs: Sequence[Spec]) -> Value:
    own = [s.all(value.attribute) for s in specs]
    built = value.source.status == "judgement" and not any(own)
    if built or all(any(not worked_out(x) for x in of_element) for of_element in own):
        return replace(value, source=_combined(value.source.citation))
    return value


@cache
def _combined(citation: str) -> Source:
    return Source(f"combined: {citation}", "stated")


def worst_condition(parts: Sequence[KnownPart]) -> str:
    """The condition of the whole is that of its worst piece."""
    doubtful = sorted({p.condition for p in parts} - TRUSTED, key=lambda c: c != "suspect")
    return doubtful[0] if doubtful else parts[0].condition
