"""What sources say of one part, side by side; what was settled; the history of a number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from partsdb.disagreement import Claim, Disagreement
from partsdb.family import Family
from partsdb.guard import clean
from partsdb.outputs.words import row, wrapped
from partsdb.records import Part, Settlement
from partsdb.spoken import value_text
from partsdb.succession import NumberHistory, step_text

TOLD = {
    "newer": "superseded by",
    "older": "superseded",
    "same": "the same as",
}


def dispute_lines(found: Sequence[Disagreement], families: Mapping[str, Family], width: int) -> list[str]:
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


def origin_text(told: Claim) -> str:
    """Where a value comes from: what says it, and the list, row, day and importer that brought it."""
    said, came = told.value.source.citation, told.origin
    if came is None:
        return said
    name = came.source.rpartition("/")[2]  # what stands before is whose list it is
    row = "" if said.endswith(f":{came.row}") else f" row {came.row} of {name},"
    return f"{said},{row} read {came.at:%Y-%m-%d} ({came.importer})"


def told_lines(
    parts: Sequence[Part], told: Sequence[Claim], families: Mapping[str, Family], width: int
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


def number_lines(found: NumberHistory, width: int) -> list[str]:
    """A number, what is on record under it, and each number it leads to, with the steps there."""
    lines = row(clean(found.number), _held(found.parts), width)
    for other in found.others:
        reached = other.reached
        number = f"{reached.maker} {reached.number}".strip()
        lines += row(f"  {TOLD[reached.relation]} {number}", _held(other.parts), width)
        lines += wrapped("; ".join(step_text(step) for step in reached.steps), width, "    ")
    return lines if found.others else [*lines, "  no other number is known of it"]


def _held(parts: Sequence[Part]) -> str:
    pieces = sum(part.quantity for part in parts)
    return f"{pieces} on the shelf" if pieces else "on record" if parts else "not on record"
