"""Which hazards apply to a specification at a place: all conditions hold, and an unknown counts as holding."""

from __future__ import annotations

from partsdb.duty import Duty
from partsdb.family import Family, Hazard
from partsdb.kit import holds
from partsdb.model import Caution, Spec


def cautions(family: Family, spec: Spec, duty: Duty) -> tuple[Caution, ...]:
    """The cautions to print beside the result, in the family's order, with figures for this very part."""
    full = family.complete(spec)
    return tuple(
        Caution(h.id, h.text, h.source, h.figures(full, duty) if h.figures else (), h.short)
        for h in family.hazards
        if applies(family, h, full, duty)
    )


def applies(family: Family, hazard: Hazard, spec: Spec, duty: Duty) -> bool:
    """Whether every condition of the hazard holds or can't be ruled out.

    A name may be an attribute and a duty term at once; either can bring the hazard in.
    """
    return holds(hazard.when, family.place(spec, duty), {}, unknown=True)
