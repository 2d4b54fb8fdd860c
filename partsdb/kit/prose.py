"""What a family tells a fitter, as data: hazards, symptoms, suspects, measurements, what goes with the part, what to
check after fitting, the shelf test. One file of words a family (words.toml), so that a fitter can read it and it can be
translated.

    [[hazard]]       id, short, text, source, when, figures = [["energy", "{energy}"], ...]
    [[symptom]]      word (of tables/symptoms.csv), points_at, tell_by
    [[suspect]]      id, title, why, ask, then, source, strength, when, strengths = [{when, is}, ...], first that holds
    [[measurement]]  attribute, tool, sd (in the attribute's unit), sd_ratio, minutes, caution, worn, worn_ratio
    [[goes_with]] [[after_fitting]] [[shelf_test]]    text, when, otherwise

Texts carry figures by name: `{shaft}` is what is known of the attribute (or duty term) in words; other names come from
the family's `figures(place)`. A text whose figure nobody knows gives way to `otherwise`, or is left out.
`when = [["made", "<", 1985]]`: all must hold; a name is an attribute, a duty term or a figure, a number is in its
unit, and "{coil_pull_in}" is the number of another name. For a hazard what isn't known counts as holding, elsewhere as
not holding.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from partsdb.attributes import Attribute
from partsdb.duty import Duty, Term
from partsdb.family import Condition, Hazard, Measurement, Suspect, Symptom
from partsdb.model import Change, Limit, Spec, Value
from partsdb.place import Place
from partsdb.quantities import show, to_si, unit
from partsdb.source import PRACTICE, Source, parse

Figures = Mapping[str, str | float | None]
_NAME = re.compile(r"\{(\w+)\}")


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """What names in a family's words mean: its attributes, the duty terms, and how a place is made and worked out."""

    attributes: Mapping[str, Attribute]
    terms: Mapping[str, Term]
    figures: Callable[[Place], Figures]

    def place(self, spec: Spec, duty: Duty) -> Place:
        """A part and its duty as the rules see them; the specification is complete already."""
        return Place(self.attributes, self.terms, spec, duty)

    def symbol(self, name: str) -> str | None:
        """The unit a name's numbers are written in; None for a code word or a figure."""
        if name in self.attributes:
            return self.attributes[name].unit
        return self.terms[name].unit if name in self.terms and not self.terms[name].codes else None


def source_of(row: Mapping[str, Any]) -> Source:
    """The row's source: a citation with its status in brackets; common practice where none is named."""
    text = row.get("source", "")
    return parse(text) if text and text != "common practice" else PRACTICE


# --------------------------------------------------------------------------- figures and conditions


def filled(text: str, place: Place, figures: Figures) -> str | None:
    """The text with its figures; None when one of them isn't known."""
    missing = False

    def put(found: re.Match[str]) -> str:
        nonlocal missing
        said = figure(found[1], place, figures)
        missing = missing or said is None
        return said or ""

    written = _NAME.sub(put, text)
    return None if missing else written


def figure(name: str, place: Place, figures: Figures) -> str | None:
    """A figure in words: the family's own, else what is known of an attribute, else the duty's; None: unknown."""
    if name in figures:
        own = figures[name]
        return f"{own:g}" if isinstance(own, float) else own
    if name in place.attributes and (value := place.was.first(name)) is not None:
        return place.attributes[name].said(value.low, value.high, value.code)
    stated = place.duty.get(name)
    if stated is None:
        return None
    return stated if isinstance(stated, str) else show(float(stated), place.terms[name].unit)


def holds(when: Sequence[Condition], place: Place, figures: Figures, *, unknown: bool) -> bool:
    """Whether every condition holds; `unknown`: what a condition about something unknown counts as."""
    return all(_holds(name, relation, value, place, figures, unknown) for name, relation, value in when)


def _holds(
    name: str, relation: str, value: float | str, place: Place, figures: Figures, unknown: bool
) -> bool:
    """A name may be an attribute and a duty term at once; either can bring it in."""
    if isinstance(value, str) and (other := _NAME.fullmatch(value)):
        known = place.was.num(other[1])
        if known is None:
            return unknown
        value = known
    facts: list[Value | float | str] = list(place.was.all(name))
    if name in place.duty:
        facts.append(place.duty[name])
    own = figures.get(name)
    if own is not None:
        facts.append(own)
    return any(may_hold(fact, relation, value) for fact in facts) if facts else unknown


def may_hold(fact: Value | float | str, relation: str, value: float | str) -> bool:
    """Whether a fact may stand in that relation to the value; a range may where any of it does."""
    if isinstance(fact, str):
        fact = Value("", code=fact)
    elif not isinstance(fact, Value):
        fact = Value("", float(fact), float(fact))
    if isinstance(value, str):
        return fact.code is None or (fact.code == value) == (relation == "is")
    if fact.code is not None:
        return True
    low = float("-inf") if fact.low is None else fact.low
    high = float("inf") if fact.high is None else fact.high
    if relation == "<":
        return low < value
    if relation == ">=":
        return high >= value
    return low <= value <= high if relation == "is" else not (low == high == value)


def conditions(row: Mapping[str, Any], known: Vocabulary) -> tuple[Condition, ...]:
    """The row's `when`, with its numbers in SI units."""
    return tuple(
        (name, relation, value if isinstance(value, str) else to_si(float(value), known.symbol(name) or ""))
        for name, relation, value in row.get("when", ())
    )


# --------------------------------------------------------------------------- rows of words.toml as values


Cures = Callable[[Limit, Spec, Duty], tuple[Change, ...]]


def cures(texts: Mapping[str, str], known: Vocabulary, own: Cures) -> Cures:
    """What cures a breach: the family's own answer, else the cure of the attribute with its figures (`texts`)."""

    def cured(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
        made = own(limit, offered, duty)
        cure = known.attributes[limit.attribute].cure
        if made or cure is None:
            return made
        place = known.place(offered, duty)
        text = filled(texts.get(limit.attribute, cure.text), place, known.figures(place))
        return (replace(cure, text=text or cure.text),)

    return cured


def hazards(rows: Iterable[Mapping[str, Any]], known: Vocabulary) -> tuple[Hazard, ...]:
    """The hazards, each with its figures for the part at hand."""
    return tuple(_hazard(row, known) for row in rows)


def _hazard(row: Mapping[str, Any], known: Vocabulary) -> Hazard:
    pairs = row.get("figures", ())

    def figures(spec: Spec, duty: Duty) -> tuple[tuple[str, str], ...]:
        place = known.place(spec, duty)
        worked_out = known.figures(place)
        said = ((label, filled(text, place, worked_out)) for label, text in pairs)
        return tuple((label, text) for label, text in said if text is not None)

    when = conditions(row, known)
    return Hazard(
        row["id"], row["text"], source_of(row), when, figures if pairs else None, row.get("short", "")
    )


def symptoms(rows: Iterable[Mapping[str, Any]]) -> tuple[Symptom, ...]:
    """What the person sees, and what it points at."""
    return tuple(Symptom(row["word"], row["points_at"], tuple(row.get("tell_by", ()))) for row in rows)


def measurements(rows: Iterable[Mapping[str, Any]], known: Vocabulary) -> tuple[Measurement, ...]:
    """How attributes, and terms of the duty, are measured."""
    return tuple(
        Measurement(
            row["attribute"],
            row["tool"],
            float(row.get("sd", 0.0)) * _scale(known.symbol(row["attribute"])),
            float(row.get("sd_ratio", 0.0)),
            float(row["minutes"]),
            row.get("caution", ""),
            row.get("worn", ""),
            float(row.get("worn_ratio", 0.0)),
        )
        for row in rows
    )


def _scale(symbol: str | None) -> float:
    return unit(symbol).factor if symbol else 1.0


Lines = Callable[[Spec, Duty], tuple[str, ...]]


def lines(rows: Sequence[Mapping[str, Any]], known: Vocabulary) -> Lines:
    """The lines that apply to a part and its duty, with their figures."""
    ready = [(conditions(row, known), row["text"], row.get("otherwise", "")) for row in rows]

    def told(spec: Spec, duty: Duty) -> tuple[str, ...]:
        place = known.place(spec, duty)
        figures = known.figures(place) if ready else {}
        said = [
            filled(text, place, figures) or filled(otherwise, place, figures)
            for when, text, otherwise in ready
            if holds(when, place, figures, unknown=False)
        ]
        return tuple(text for text in said if text)

    return told


def suspects(
    rows: Sequence[Mapping[str, Any]], known: Vocabulary
) -> Callable[[Spec, Duty], tuple[Suspect, ...]]:
    """What may have killed the part, with how strongly the facts speak for it."""
    ready = [(conditions(row, known), _strengths(row, known), row) for row in rows]

    def suspected(spec: Spec, duty: Duty) -> tuple[Suspect, ...]:
        place = known.place(spec, duty)
        figures = known.figures(place) if ready else {}
        found = []
        for when, strengths, row in ready:
            if not holds(when, place, figures, unknown=False):
                continue
            strength = next((s for c, s in strengths if holds(c, place, figures, unknown=False)), 0.0)
            why = filled(row["why"], place, figures) or filled(row.get("otherwise", ""), place, figures)
            if strength > 0 and why:
                found.append(
                    Suspect(row["id"], row["title"], why, row["ask"], row["then"], strength, source_of(row))
                )
        return tuple(found)

    return suspected


def _strengths(row: Mapping[str, Any], known: Vocabulary) -> tuple[tuple[tuple[Condition, ...], float], ...]:
    own = [(conditions(one, known), float(one["is"])) for one in row.get("strengths", ())]
    return (*own, ((), float(row["strength"]))) if "strength" in row else tuple(own)
