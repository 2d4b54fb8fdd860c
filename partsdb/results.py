"""What the services hand to the outputs: everything known about one failure, and everything on record.

Frozen like the values of model.py; they join records with verdicts, so they stand above both, and below the stages:
planning takes its ways from them.
"""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.duty import Duty
from partsdb.family import Family, Suspect
from partsdb.model import Caution, Identification, Need, Outcome, Requirement, Spec, Verdict
from partsdb.records import (
    Decision,
    Delivery,
    Inquiry,
    Machine,
    Offer,
    Part,
    Position,
    Shop,
    Supplier,
    Temporary,
    Units,
)

FITTABLE: tuple[Outcome, ...] = ("straight swap", "fits with work")


@dataclass(frozen=True, slots=True)
class Known:
    """Everything the core needs from the records, read once. Empty when nothing was ever set up."""

    shop: Shop | None = None
    machines: tuple[Machine, ...] = ()
    positions: tuple[Position, ...] = ()
    parts: tuple[Part, ...] = ()
    suppliers: tuple[Supplier, ...] = ()
    offers: tuple[Offer, ...] = ()
    deliveries: tuple[Delivery, ...] = ()

    @property
    def units(self) -> Units:
        """What the shop works in."""
        return self.shop.units if self.shop else "metric"

    def machine(self, id: str) -> Machine | None:
        """The machine with that id."""
        return next((m for m in self.machines if m.id == id), None)

    def position(self, id: str) -> Position | None:
        """The position with that id."""
        return next((p for p in self.positions if p.id == id), None)

    def part(self, id: str) -> Part | None:
        """The part with that id."""
        return next((p for p in self.parts if p.id == id), None)

    def supplier(self, id: str) -> Supplier | None:
        """The supplier with that id."""
        return next((s for s in self.suppliers if s.id == id), None)


@dataclass(frozen=True, slots=True)
class Offered:
    """A part that can be bought, judged for the place: the verdict, the offer, who offers it.

    stale: the price is old, or nobody knows how old: its word about stock isn't counted on.
    """

    verdict: Verdict
    offer: Offer
    supplier: Supplier
    stale: bool = False


@dataclass(frozen=True, slots=True)
class Found:
    """All that is known about one failure. family None: nothing known fits the plate.

    shelf, combinations, offers: best first. in_place: the part that sits there judged under the duty.
    truths: where fitted, drawing and the reading disagree, in words. units: what the shop works in.
    """

    inquiry: Inquiry
    identification: Identification
    family: Family | None
    duty: Duty
    requirements: tuple[Requirement, ...] = ()
    shelf: tuple[Verdict, ...] = ()
    combinations: tuple[Verdict, ...] = ()
    offers: tuple[Offered, ...] = ()
    in_place: Verdict | None = None
    cautions: tuple[Caution, ...] = ()
    suspects: tuple[Suspect, ...] = ()
    truths: tuple[str, ...] = ()
    units: Units = "metric"

    @property
    def spec(self) -> Spec | None:
        """The most probable specification of the family, or None."""
        for hypothesis in self.identification.hypotheses:
            if self.family and hypothesis.spec.family == self.family.name:
                return hypothesis.spec
        return None


@dataclass(frozen=True, slots=True)
class MachineRecord:
    """Everything decided on one machine."""

    machine: Machine
    positions: tuple[Position, ...]
    decisions: tuple[Decision, ...]
    register: tuple[Temporary, ...]


@dataclass(frozen=True, slots=True)
class Scene:
    """One scene of the demo: its title and the result behind it. said: what is told before that; needs, zone: what a
    plan is shown with."""

    title: str
    data: object
    said: tuple[str, ...] = ()
    needs: tuple[Need, ...] = ()
    zone: str = "UTC"
