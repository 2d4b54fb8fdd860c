"""What it is and what will do instead, for a screen of 60 columns or more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from partsdb.equivalence import SharedCause
from partsdb.family import Family, Suspect
from partsdb.model import (
    Caution,
    Check,
    Hypothesis,
    Identification,
    Limit,
    Observation,
    Requirement,
    Verdict,
)
from partsdb.outputs.words import bullets, limit_text, percent, row, spec_lines, wrapped
from partsdb.spoken import value_text


def identification_lines(
    found: Identification, families: Mapping[str, Family], width: int, *, most: int = 5, explain: bool = False
) -> list[str]:
    """What it is and how sure; what to check next, with its caution."""
    if not found.hypotheses:
        raw = " / ".join(f.text for f in found.reading.fragments) or "nothing legible"
        return wrapped(
            f"None of the known kinds fits what is written ({raw}). Kept as it stands. "
            "Say what kind of part it is, or measure something.",
            width,
        )
    lines = ["WHAT IT IS"]
    named = _by_title(found.hypotheses, families)[:most]
    for title, probability in named:
        lines += row(f"  {title}", percent(probability), width)
    listed = sum(p for _, p in named)
    others = max(0.0, 1 - listed - found.leftover)
    if others >= 0.005:
        lines += row("  other variants of these", percent(others), width)
    lines += row("  something else", percent(found.leftover), width)
    if explain:
        lines += _evidence(found, families, width)
    if found.unread:
        lines += wrapped("not understood: " + ", ".join(found.unread), width, "  ")
    return lines + next_lines(found.advice, found.settled, width, most=3 if explain else 1)


def _by_title(hypotheses: Sequence[Hypothesis], families: Mapping[str, Family]) -> list[tuple[str, float]]:
    """Hypotheses that go by one trade name are one line: they differ in what the name doesn't say."""
    merged: dict[str, float] = {}
    for hypothesis in hypotheses:
        family = families[hypothesis.spec.family]
        title = f"{family.title}, {family.title_of(hypothesis.spec)}"
        merged[title] = merged.get(title, 0.0) + hypothesis.probability
    return sorted(merged.items(), key=lambda item: -item[1])


def _evidence(found: Identification, families: Mapping[str, Family], width: int) -> list[str]:
    best = found.hypotheses[0]
    family = families[best.spec.family]
    lines = ["WHY"]
    for line in spec_lines(family, family.complete(best.spec)):
        lines += wrapped(line, width, "  ")
    for e in best.evidence:
        place = ""
        if e.where:
            fragment, start, end = e.where
            place = f' from "{found.reading.fragments[fragment].text[start:end]}"'
        note = f" ({e.note})" if e.note else ""
        title = family.attribute(e.attribute).title
        lines += wrapped(f"{title}: {e.says}{place}, {e.log_odds:+.1f} nat{note}", width, "  · ")
    for marginal in found.marginals:
        outcomes = ", ".join(
            f"{'not known' if v is None else value_text(family, v)} {percent(p)}"
            for v, p in marginal.outcomes[:4]
        )
        lines += wrapped(f"{marginal.attribute}: {outcomes}", width, "  ~ ")
    return lines


def look_text(look: Observation) -> str:
    """An observation in the words of a fitter: "measure the bore: calipers" or "read the volts: clean the plate"."""
    return f"{look.attribute.replace('_', ' ')}: {look.tool}"


def next_lines(advice: Sequence[Observation], settled: bool, width: int, *, most: int = 1) -> list[str]:
    """What to look at or measure next, with its caution and what each result would mean."""
    if settled:
        return wrapped("Nothing more you could read or measure changes what to fit.", width)
    lines: list[str] = []
    for look in advice[:most]:
        lines += wrapped(f"{look_text(look)}, about {look.minutes:.0f} min", width, "  ")
        if look.caution:
            lines += wrapped(f"Caution: {look.caution}", width, "    ")
        for result, probability, then in look.outcomes[:3]:
            lines += wrapped(f"{result} ({percent(probability)}): {then}", width, "    - ")
    return ["CHECK THIS NEXT", *lines] if lines else []


def caution_lines(cautions: Sequence[Caution], width: int, *, figures: bool = True) -> list[str]:
    """The cautions, above the result they concern; with the figures worked out for this part, or without."""
    if not cautions:
        return []
    lines = ["CAUTION"]
    for caution in cautions:
        worked_out = "; ".join(f"{label}: {value}" for label, value in caution.figures if figures)
        lines += wrapped(caution.text + (f" [{worked_out}]" if worked_out else ""), width, "  ! ")
    if not any("local code" in caution.text for caution in cautions):
        lines += wrapped("Follow your local code; licensed work is for licensed people.", width, "  ! ")
    return lines


def verdict_lines(
    verdict: Verdict, width: int, *, mark: str = "  ", explain: bool = False, limits: Sequence[Limit] = ()
) -> list[str]:
    """One part's verdict: the outcome, the decisive reason, what to change, what to watch.

    limits: those of the likeliest reading; unless everything is to be explained, reasons that only an unlikely
    reading gives are left out where a likely one says enough.
    """
    lines = row(f"{mark}{verdict.title}", verdict.outcome, width)
    pad = " " * (len(mark) + 2)
    if verdict.depends_on and verdict.holds < 0.995:
        on = ", ".join(attribute.replace("_", " ") for attribute in verdict.depends_on)
        lines += wrapped(
            f"holds for {percent(verdict.holds)} of what was there; depends on: {on}", width, pad
        )
    for check in _told(verdict, explain, limits):
        lines += wrapped(_reason(check, explain), width, pad)
    lines += bullets((f"do: {c.text} ({c.hours:g} h)" for c in verdict.changes), width, pad)
    lines += bullets((f"first: {m}" for m in verdict.missing[: None if explain else 1]), width, pad)
    if verdict.outcome == "temporary":
        hours = verdict.stated_hours
        limit = "attended only" if hours is None else f"{hours:,.0f} running hours at most"
        lines += wrapped(f"stand-in: {limit}", width, pad)
    lines += bullets((f"only if: {c}" for c in verdict.conditions), width, pad)
    if verdict.wiring:
        lines += wrapped(verdict.wiring, width, pad)
    if explain:
        lines += bullets((f"with it: {g}" for g in verdict.goes_with), width, pad)
        lines += bullets((f"differs: {d}" for d in verdict.differs), width, pad)
        lines += bullets((f"after fitting: {a}" for a in verdict.after_fitting), width, pad)
        if verdict.life and verdict.life.text:
            lines += wrapped(f"life: {verdict.life.text}", width, pad)
    return lines


def _told(verdict: Verdict, explain: bool, limits: Sequence[Limit]) -> Sequence[Check]:
    if explain:
        likely = [c for c in verdict.checks if c.limit in limits]
        unlikely = [c for c in verdict.checks if c.limit not in limits and c.status != "pass"]
        return [*likely, *unlikely[:1]] if likely else verdict.checks
    failed = [c for c in verdict.checks if c.status != "pass"]
    likely = [c for c in failed if c.limit in limits]
    if verdict.outcome in ("straight swap", "fits with work"):
        known = [c for c in verdict.checks if c.margin is not None and c.limit.weight == "safety"]
        tightest = sorted(known, key=lambda c: c.margin or 0.0)[:1]
        # what a change cures is told before what is to spare
        cured = [c for c in likely if c.status == "breach"][:2]
        return [*cured, *(c for c in tightest if c not in cured)]
    told = (likely or failed)[:2] or verdict.checks[:1]
    # two unknowns must not hide a proven breach
    return [*told, *[c for c in likely if c.status == "breach" and c not in told][:1]]


def _reason(check: Check, explain: bool) -> str:
    return f"{check.reason} [{check.limit.follows_from}; {check.limit.source}]" if explain else check.reason


def verdicts_lines(
    title: str,
    verdicts: Sequence[Verdict],
    width: int,
    *,
    most: int,
    explain: bool,
    limits: Sequence[Limit] = (),
) -> list[str]:
    """A headed list of verdicts, best first; how many more there are."""
    if not verdicts:
        return []
    lines = [title]
    for number, verdict in enumerate(verdicts[:most], 1):
        lines += verdict_lines(verdict, width, mark=f"  {number}. ", explain=explain, limits=limits)
    if len(verdicts) > most:
        lines.append(f"  ... and {len(verdicts) - most} more (--most)")
    return lines


def asking_lines(family: Family, requirement: Requirement, width: int) -> list[str]:
    """What to ask for over the counter: the envelope, limit by limit."""
    lines = ["ASK FOR"]
    for limit in requirement.limits:
        lines += wrapped(f"{limit_text(family, limit)} ({limit.follows_from})", width, "  - ")
    return lines


def _ended(sentence: str) -> str:
    return sentence if sentence.endswith((".", "?", "!")) else f"{sentence}."


def suspect_lines(suspects: Sequence[Suspect], width: int, *, most: int = 2) -> list[str]:
    """What may have killed it, likeliest first, with the reading that tells."""
    if not suspects:
        return []
    lines = ["WHAT KILLED IT?"]
    for suspect in sorted(suspects, key=lambda s: -s.strength)[:most]:
        lines += wrapped(f"{suspect.title} ({percent(suspect.strength)}): {suspect.why}", width, "  - ")
        lines += wrapped(f"To tell: {_ended(suspect.ask)} Then: {_ended(suspect.then)}", width, "    ")
    return lines


def cause_lines(causes: Sequence[SharedCause], width: int, *, most: int = 3) -> list[str]:
    """What explains several faults at once, then what explains one; and what settles it."""
    if not causes:
        return ["No cause stands out. Measure the supply at the machine, and write down what each part does."]
    shared = [cause for cause in causes if len(cause.positions) > 1]
    lines = ["ONE CAUSE BEHIND SEVERAL FAULTS?"] if shared else ["WHAT KILLED IT?"]
    for cause in (shared or list(causes))[:most]:
        count = f"{len(cause.positions)} faults, " if len(cause.positions) > 1 else ""
        lines += row(f"  {cause.title}", f"{count}{percent(cause.strength)}", width)
        lines += bullets(cause.why, width, "    - ")
        lines += bullets((f"To tell: {_ended(ask)}" for ask in cause.ask[:most]), width, "    ")
        lines += bullets((f"Then: {_ended(then)}" for then in cause.then[:most]), width, "    ")
    return lines
