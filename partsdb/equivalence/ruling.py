"""From the checks of one reading to what they allow: the outcome is the worst its checks allow.

    unknown on safety, function or fit        can't say yet: what is missing, and how to get it
    unknown fit or function, any value curable   fits with work: check it, and the cure if it doesn't match
    an open question of those weights         can't say yet: no part settles it
    unknown on life, a question of it         seen in its check, doesn't block - unless the place protects people
    breach outside reach                      don't fit
    breach inside reach, with a cure          fits with work, naming the changes
    breach inside reach, only conditions      temporary, under them
    breach inside reach, neither              don't fit
    breach on life, no cure                   temporary: it runs, only shorter than wished
    pass on a rating only worked out          at best fits with work, the doubt named (on safety: an unknown)
    shelf part of unknown condition           its safety checks are unknown until it is tested
    suspect shelf part                        don't fit until tested
    fewer on the shelf than the place takes   don't fit

A place that protects people takes no temporary part and no worked-out rating. All of it is judgement. An unknown
fit blocks because a part whose size nobody knows must not be better off than one known not to fit; for the same
reason a breach on life is never worse than temporary, because an unknown life doesn't block.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from partsdb.duty import Duty
from partsdb.family import Family
from partsdb.intervals import Interval
from partsdb.model import OUTCOMES, Change, Check, KnownPart, Limit, Outcome, Question, Spec
from partsdb.source import judgement

from .checks import worked_out
from .wording import how_to_get

UNKNOWN_FITS = 0.5  # P(fits) left by one unknown function or fit limit [-]: even odds, for want of better
ACCEPTED: frozenset[Outcome] = frozenset({"straight swap", "fits with work", "temporary"})
TRUSTED = frozenset({"", "new", "used and tested"})
_RANK = {outcome: rank for rank, outcome in enumerate(OUTCOMES)}
_UNREAD = judgement("nothing that stands on a part is passed over")
_UNTESTED = judgement("a part of unknown or doubtful condition is tested before anything relies on it")


@dataclass(frozen=True, slots=True)
class Finding:
    """A check and the specification it was made on.

    alike: offered and wanted are the same specification, so a worked-out rating is no doubt between them;
    untested: the check would pass, but the shelf part hasn't been tested.
    """

    check: Check
    spec: Spec
    alike: bool = False
    untested: bool = False


@dataclass(frozen=True, slots=True)
class Ruling:
    """What the checks of one reading allow; `safety` is what its safety checks alone allow."""

    outcome: Outcome = "straight swap"
    safety: Outcome = "straight swap"
    changes: tuple[Change, ...] = ()
    conditions: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    fits: float = 1.0

    def also(self, other: Ruling, *more: Ruling) -> Ruling:
        """All together: the worst outcome, everything that any of them asks for."""
        if more:
            return self.also(other).also(*more)
        return Ruling(
            worse(self.outcome, other.outcome),
            worse(self.safety, other.safety),
            tuple(dict.fromkeys(self.changes + other.changes)),
            tuple(dict.fromkeys(self.conditions + other.conditions)),
            tuple(dict.fromkeys(self.missing + other.missing)),
            self.fits * other.fits,
        )


def worse(*outcomes: Outcome) -> Outcome:
    """The worst of the outcomes."""
    return max(outcomes, key=_RANK.__getitem__)


def rank(outcome: Outcome) -> int:
    """0 for a straight swap, growing as the outcome gets worse."""
    return _RANK[outcome]


def rule(
    family: Family,
    findings: Sequence[Finding],
    duty: Duty,
    *,
    safety_function: bool = False,
    memo: dict[int, Ruling] | None = None,
) -> Ruling:
    """The ruling over the findings of one reading; `memo` carries those that several readings share."""
    total = _PASSED
    known = {} if memo is None else memo
    for finding in findings:
        one = known.get(id(finding))
        if one is None:
            one = known[id(finding)] = _rule_one(family, finding, duty, safety_function)
        if one is not _PASSED:
            on_safety = one.outcome if finding.check.limit.weight == "safety" else total.safety
            total = total.also(replace(one, safety=on_safety))
    return total


_PASSED = Ruling()


def of_questions(questions: Iterable[Question], *, safety_function: bool) -> Ruling:
    """What the open questions of a reading allow: nothing, until somebody knows. A question of life is only shown; one
    whose every answer can be cured is work: look, and cure it where the new part is otherwise."""
    asked = [q for q in questions if q.weight != "life" or safety_function]
    open_ones = [q for q in asked if q.cure is None or q.weight == "safety" or safety_function]
    cures = {q.cure.text: q.cure for q in asked if q.cure is not None}
    changes = tuple(_looked_at(cure, asked) for cure in cures.values())
    if open_ones:
        unsafe = safety_function or any(q.weight == "safety" for q in open_ones)
        safety: Outcome = "can't say yet" if unsafe else "straight swap"
        return Ruling("can't say yet", safety, changes, fits=0.0 if unsafe else UNKNOWN_FITS)
    return Ruling("fits with work", changes=changes) if changes else _PASSED


def _looked_at(cure: Change, asked: Iterable[Question]) -> Change:
    """The cure, after a look at everything it can cure."""
    about = "; ".join(q.about for q in asked if q.cure is not None and q.cure.text == cure.text)
    return replace(cure, text=f"look at the old one's {about}; where the new one is otherwise: {cure.text}")


def _rule_one(family: Family, finding: Finding, duty: Duty, safety_function: bool) -> Ruling:
    check, limit = finding.check, finding.check.limit
    if check.status == "unknown":
        return _unknown(family, finding, duty, safety_function)
    if check.status == "pass":
        return _doubt(family, finding)
    if check.in_reach:
        cures = family.cures(limit, finding.spec, duty)
        if cures:
            return Ruling("fits with work", changes=cures)
    runs_for_a_time = bool(check.in_reach and limit.conditions) or limit.weight == "life"
    if runs_for_a_time and not safety_function:
        return Ruling("temporary", conditions=limit.conditions)
    return Ruling("don't fit", fits=0.0)


def _unknown(family: Family, finding: Finding, duty: Duty, safety_function: bool) -> Ruling:
    limit = finding.check.limit
    if limit.weight == "life" and not safety_function:
        return _PASSED
    if finding.untested:
        return Ruling("can't say yet", missing=tests(family, finding.spec, duty), fits=0.0)
    curable = _curable_anyhow(family, finding, duty)
    if curable and limit.weight != "safety" and not safety_function:
        return Ruling("fits with work", changes=curable)
    guess = UNKNOWN_FITS if limit.weight in ("function", "fit") and not safety_function else 0.0
    return Ruling("can't say yet", missing=(_missing(family, finding.check),), fits=guess)


def _curable_anyhow(family: Family, finding: Finding, duty: Duty) -> tuple[Change, ...]:
    """The cures when every value the unknown attribute could have lies in reach of one; else nothing."""
    limit = finding.check.limit
    codes = family.attribute(limit.attribute).codes
    reach = limit.reach
    boundless = reach == Interval(None, None) or (
        isinstance(reach, tuple) and codes and set(codes) <= set(reach)
    )
    if not boundless:
        return ()
    cures = family.cures(limit, finding.spec, duty)
    title = family.attribute(limit.attribute).title
    return tuple(replace(c, text=f"check the {title}; if it doesn't match: {c.text}") for c in cures)


def _missing(family: Family, check: Check) -> str:
    limit = check.limit
    if check.offered and worked_out(check.offered[0]):
        what = family.attribute(limit.attribute).title + (f" ({limit.qualifier})" if limit.qualifier else "")
        return f"{what}: get the maker's stated figure; so far it is only worked out"
    return how_to_get(family, limit)


def _doubt(family: Family, finding: Finding) -> Ruling:
    """A pass on a worked-out rating: good enough to work with once somebody has looked."""
    check = finding.check
    value = check.offered[0] if check.offered else None
    if value is None or finding.alike or check.limit.weight == "life" or not worked_out(value):
        return _PASSED
    title = family.attribute(value.attribute).title
    text = f"make sure of the {title}: it is only worked out ({value.source})"
    return Ruling("fits with work", changes=(Change(value.attribute, text, 0.25, value.source),))


# --------------------------------------------------------------------------- the condition of a shelf part


def tests(family: Family, spec: Spec, duty: Duty) -> tuple[str, ...]:
    """How a shelf part proves itself: the family's pass test, or a plain request for one."""
    return tuple(family.shelf_test(spec, duty)) or ("test it before it is fitted",)


def untested(finding: Finding) -> Finding:
    """The finding on a part of unknown condition: what would pass on safety isn't known yet."""
    check = finding.check
    if check.limit.weight != "safety" or check.status != "pass":
        return finding
    doubtful = replace(check, status="unknown", reason=f"{check.reason}; not tested yet")
    return replace(finding, check=doubtful, untested=True)


def of_condition(
    family: Family, condition: str, spec: Spec, duty: Duty, *, safety_function: bool
) -> tuple[Ruling, tuple[Check, ...]]:
    """What the shelf condition alone allows, with the check that says so."""
    if condition in TRUSTED:
        return _PASSED, ()
    how = tests(family, spec, duty)
    limit = Limit(
        "condition",
        "one of",
        ("new", "used and tested"),
        "safety",
        "judgement: a shelf part proves itself first",
        _UNTESTED,
        "test it before it is fitted",
    )
    if condition == "suspect":
        check = Check(
            limit,
            (),
            "breach",
            None,
            None,
            "a suspect piece: not before it has passed its test",
        )
        return Ruling("don't fit", "don't fit", missing=how, fits=0.0), (check,)
    check = Check(limit, (), "unknown", None, None, "nobody knows the condition of this piece: test it first")
    if safety_function:
        return Ruling("can't say yet", "can't say yet", missing=how, fits=0.0), (check,)
    changes = tuple(Change("condition", f"test it first: {text}", 0.25, _UNTESTED) for text in how)
    return Ruling("fits with work", changes=changes), (check,)


def of_unread(
    parts: Sequence[KnownPart], was: Sequence[Question]
) -> tuple[Ruling, tuple[Check, ...], frozenset[Question]]:
    """What stands on a piece, or in its list's row, and isn't understood: till it is, the piece replaces nothing,
    unless the very same stands on the old part. With the questions about the old part that are answered so."""
    pieces = tuple(dict.fromkeys(piece for part in parts for piece in part.unread))
    alike = frozenset(q for q in was if q.piece and all(q.piece in part.unread for part in parts))
    odd = [piece for piece in pieces if piece not in {q.piece for q in alike}]
    if not odd:
        return _PASSED, (), alike
    about = '", "'.join(odd)
    limit = Limit(
        "unread",
        "one of",
        ("understood",),
        "safety",
        "judgement: what stands on a part may change it",
        _UNREAD,
        "it may be another part than its values say, or not sound",
    )
    check = Check(limit, (), "unknown", None, None, f'"{about}" on it: {limit.breach}')
    missing = (f'find out what "{about}" on it means',)
    return Ruling("can't say yet", "can't say yet", missing=missing, fits=0.0), (check,), alike


def of_quantity(
    family: Family, part: KnownPart, full: Spec, was: Spec, duty: Duty
) -> tuple[Ruling, tuple[Check, ...]]:
    """Whether the shelf holds as many as the place takes at once; a catalogue part is ordered as needed.

    A piece that is itself a set counts as what the family says is in it.
    """
    wanted = family.pieces(was, duty)
    held = part.quantity * family.pieces(full, {})
    if part.quantity <= 0 or held >= wanted:
        return _PASSED, ()
    source = judgement("what is replaced together is taken together")
    limit = Limit(
        "quantity",
        "at least",
        Interval(float(wanted), None),
        "function",
        f"the place takes {wanted} at once",
        source,
        "all of them are replaced together",
    )
    reason = f"{held} on the shelf, the place takes {wanted} at once; {limit.breach}"
    check = Check(limit, (), "breach", float(held - wanted), 100.0 * (held - wanted) / wanted, reason)
    return Ruling("don't fit", fits=0.0), (check,)
