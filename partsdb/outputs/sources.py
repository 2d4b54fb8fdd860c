"""What sources say of one part, side by side; what was settled; the history of a number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Protocol

from partsdb.family import Family
from partsdb.model import Value
from partsdb.outputs.words import clean, row, value_text, wrapped
from partsdb.records import Part, Settlement, Succession

TOLD = {
    "newer": "superseded by",
    "older": "superseded",
    "same": "the same as",
}


class Came(Protocol):
    """Which list something came in, at which row, when, and how it was read."""

    @property
    def source(self) -> str: ...
    @property
    def row(self) -> int: ...
    @property
    def importer(self) -> str: ...
    @property
    def at(self) -> datetime: ...


class Claimed(Protocol):
    """What one source says."""

    @property
    def part_id(self) -> str: ...
    @property
    def value(self) -> Value: ...
    @property
    def origin(self) -> Came | None: ...


class Disputed(Protocol):
    """Something sources disagree about."""

    @property
    def family(self) -> str: ...
    @property
    def maker(self) -> str: ...
    @property
    def designation(self) -> str: ...
    @property
    def attribute(self) -> str: ...
    @property
    def qualifier(self) -> str: ...
    @property
    def claims(self) -> Sequence[Claimed]: ...
    @property
    def settled(self) -> Claimed | None: ...
    @property
    def by(self) -> str: ...
    @property
    def why(self) -> str: ...


def dispute_lines(found: Sequence[Disputed], families: Mapping[str, Family], width: int) -> list[str]:
    """Each dispute: the part and attribute, each source's value beside it, and who is believed."""
    lines: list[str] = []
    for one in found:
        family = families[one.family]
        title = family.attribute(one.attribute).title
        part = f"{one.maker} {one.designation}".strip()
        what = f"{title} {one.qualifier}".strip()
        lines += row(f"{part}: {what}", "open" if one.settled is None else "settled", width)
        for claim in one.claims:
            mark = "  = " if claim is one.settled else "  - "
            lines += wrapped(f"{value_text(family, claim.value)}: {origin_text(claim)}", width, mark)
        if one.settled is not None:
            lines += wrapped(f"by {one.by}: {one.why}", width, "    ")
    if any(one.settled is None for one in found):
        lines += wrapped("What is open counts as unknown. Settle it with `partsdb settle`.", width)
    return lines or ["No two sources disagree."]


def origin_text(told: Claimed) -> str:
    """Where a value comes from: what says it, and the list, row, day and importer that brought it."""
    said, came = told.value.source.citation, told.origin
    if came is None:
        return said
    name = came.source.rpartition("/")[2]  # what stands before is whose list it is
    row = "" if said.endswith(f":{came.row}") else f" row {came.row} of {name},"
    return f"{said},{row} read {came.at:%Y-%m-%d} ({came.importer})"


def told_lines(
    parts: Sequence[Part], told: Sequence[Claimed], families: Mapping[str, Family], width: int
) -> list[str]:
    """Each part on record with each of its values and where that comes from."""
    lines: list[str] = []
    for part in parts:
        family = families[part.family]
        lines += wrapped(part.title or part.designation, width)
        for one in told:
            if one.part_id == part.id:
                title = family.attribute(one.value.attribute).title
                lines += wrapped(
                    f"{title} {value_text(family, one.value)}: {origin_text(one)}", width, "  - "
                )
    return lines


def settled_lines(made: Sequence[Settlement], width: int) -> list[str]:
    """Who is believed from now on."""
    lines: list[str] = []
    for one in made:
        what = f"{one.attribute.replace('_', ' ')} {one.qualifier}".strip()
        lines += wrapped(f"{one.maker} {one.designation}, {what}: {one.source} is believed".strip(), width)
        lines += wrapped(f"by {one.by}: {one.why}", width, "  ")
    return lines or ["Nothing open can be settled so."]


def number_lines(
    number: str,
    parts: Sequence[Part],
    others: Sequence[tuple[str, str, Sequence[Succession], Sequence[Part]]],
    width: int,
) -> list[str]:
    """A number, what is on record under it, and each number it leads to: (relation, number, steps, parts)."""
    lines = row(clean(number), _held(parts), width)
    for relation, other, steps, held in others:
        lines += row(f"  {TOLD[relation]} {other}", _held(held), width)
        lines += wrapped("; ".join(step_text(step) for step in steps), width, "    ")
    return lines if others else [*lines, "  no other number is known of it"]


def _held(parts: Sequence[Part]) -> str:
    pieces = sum(part.quantity for part in parts)
    return f"{pieces} on the shelf" if pieces else "on record" if parts else "not on record"


def step_text(step: Succession) -> str:
    """One step of a history, with who says so."""
    old = f"{step.maker} {step.number}".strip()
    new = f"{step.to_maker} {step.to_number}".strip()
    word = {"maker became": "became", "same as": "is the same as"}.get(step.kind, "was superseded by")
    since = f" since {step.since}" if step.since else ""
    return f"{old} {word} {new}{since}" + (f" ({step.source})" if step.source else "")
