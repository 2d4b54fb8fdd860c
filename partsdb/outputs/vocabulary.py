"""The words the program knows: kinds of part, their attributes, duty terms."""

from __future__ import annotations

from partsdb.family import families, family_named, vocabulary
from partsdb.outputs.words import wrapped


def kinds_lines(width: int) -> tuple[list[str], object]:
    """Every kind of part and what it is also called."""
    lines = ["KINDS OF PART"]
    for family in families().values():
        also = f": also {', '.join(family.words)}" if family.words else ""
        lines += wrapped(f"{family.name}{also}", width, "  ", "    ")
    return lines, [{"name": f.name, "title": f.title, "words": f.words} for f in families().values()]


def kind_lines(name: str, width: int) -> tuple[list[str], object]:
    """The attributes of one kind, with unit or code words, and how they are measured. Raises NotFound."""
    family = family_named(name)
    lines = [family.title.upper()]
    for a in family.attributes:
        takes = " / ".join(a.codes) if a.unit is None else (a.unit or "a plain number")
        lines += wrapped(f"{a.name}: {a.title} [{takes or 'a word'}]", width, "  ", "    ")
    lines.append("MEASURED WITH")
    for m in family.measurements:
        lines += wrapped(f"{m.attribute}: {m.tool}, {m.minutes:g} min. {m.caution}", width, "  ", "    ")
    if family.ask:
        lines += wrapped(f"Duty worth stating: {', '.join(family.ask)}", width)
    attributes = [
        {"name": a.name, "title": a.title, "unit": a.unit, "codes": a.codes} for a in family.attributes
    ]
    return lines, {"name": family.name, "attributes": attributes, "duty": family.ask}


def duty_lines(width: int) -> tuple[list[str], object]:
    """Every duty term with its unit or code words."""
    lines = ["DUTY TERMS"]
    terms = tuple(vocabulary(families().values()).values())
    for term in terms:
        takes = " / ".join(term.codes) or term.unit or "a plain number"
        lines += wrapped(f"{term.name}: {term.title} [{takes}]", width, "  ", "    ")
    return lines, terms
