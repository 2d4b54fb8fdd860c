"""What is needed, the ways to it, and the plan."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Literal

from partsdb.model.verdicts import Outcome

WayKind = Literal["shelf", "combination", "buy", "repair", "made", "temporary"]


@dataclass(frozen=True, slots=True)
class Need:
    """One thing that must be in place before the job can run.

    readings: probabilities of the readings of what the part was (sum to at most one; the rest is "something
    else", for which nothing fits). install_hours: shop working hours. after: ids of needs fitted before it.
    exists: probability that the need is real (found on strip-down).
    """

    id: str
    title: str
    readings: tuple[float, ...] = (1.0,)
    install_hours: float = 1.0
    after: tuple[str, ...] = ()
    exists: float = 1.0


@dataclass(frozen=True, slots=True)
class Line:
    """What one option buys: an offer of a supplier, by one of its services."""

    offer_id: str
    supplier_id: str
    service_id: str
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class Option:
    """One way to satisfy a need.

    fits: P(fits | reading h), aligned with Need.readings. lines: what is bought (empty for shelf ways).
    uses: (stock id, units) of shelf pieces and of offers' stated stock; needs can't spend one piece twice.
    ready_hours: shop hours between goods in and fitting (check, cure, run-in). other_cost: labour, adapter
    and expected later replacement, in the plan's currency. stated_hours: life of a temporary part [h],
    None otherwise; duty_hours: running hours it must bridge; survives: P(survives the bridge).
    """

    id: str
    need: str
    kind: WayKind
    title: str
    fits: tuple[float, ...] = (1.0,)
    lines: tuple[Line, ...] = ()
    uses: tuple[tuple[str, int], ...] = ()
    ready_hours: float = 0.0
    install_hours: float | None = None
    other_cost: Decimal = Decimal(0)
    stated_hours: float | None = None
    duty_hours: float = 0.0
    survives: float = 1.0
    outcome: Outcome = "straight swap"


@dataclass(frozen=True, slots=True)
class WayOut:
    """What can still be done when the plan fails: subcontract, another machine, part delivery, a call."""

    title: str
    cost: Decimal
    decide_by: datetime


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of the plan. Times are time-zone aware; `supplier_zone` is an IANA name.

    arrives: (day, probability that it is in by then), cumulative. hurts: gain in the plan's probability if
    this line were certain. cost: Decimal in the plan's currency, without freight shared by a parcel.
    """

    need: str
    option: str
    title: str
    kind: WayKind
    supplier: str = ""
    service: str = ""
    offer: str = ""
    quantity: int = 0
    cost: Decimal = Decimal(0)
    order_by: datetime | None = None
    supplier_zone: str = ""
    need_by: datetime | None = None
    p_in_time: float = 1.0
    arrives: tuple[tuple[date, float], ...] = ()
    hurts: float = 0.0
    hedge: bool = False
    rolled: bool = False  # the cut-off asked for had passed; the next working day is meant
    ordered: bool = False  # it was placed already
    arrived: bool = False  # ... and is here


@dataclass(frozen=True, slots=True)
class Rival:
    """What another way of choosing would have got: its name, cost and probability."""

    name: str
    cost: Decimal
    probability: float
    expected_late: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class FrontierPoint:
    """The cheapest known cost at a probability of being in time."""

    cost: Decimal
    probability: float
    expected_late: Decimal
    options: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Trigger:
    """Where the plan breaks: "if the seal is not here by Wednesday noon, do this"."""

    need: str
    by: datetime
    text: str
    do: str
    cost: Decimal = Decimal(0)
    probability: float = 0.0


@dataclass(frozen=True, slots=True)
class Call:
    """A telephone call worth making before ordering: what it is worth and what to ask."""

    supplier: str
    offer: str
    before: datetime
    value: Decimal
    minutes: float
    script: tuple[str, ...]
    if_yes: str = ""
    if_no: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """What to order, from whom, by which hour, and how sure that is.

    probability: exact P(all in time), to the solver's columns; simulated, standard_error: from `runs` walks
    over the calendars. bound: no plan can cost less than this at that target (proved); None when not proved.
    by_day: (day, P(job can run by then)). uncovered: needs without any way.
    """

    lines: tuple[OrderLine, ...]
    cost: Decimal
    freight: Decimal
    currency: str
    probability: float
    expected_late: Decimal
    deadline: datetime
    now: datetime
    options: tuple[str, ...] = ()
    bound: Decimal | None = None
    proof: str = ""
    simulated: float | None = None
    standard_error: float | None = None
    runs: int = 0
    seed: int = 0
    by_day: tuple[tuple[date, float], ...] = ()
    frontier: tuple[FrontierPoint, ...] = ()
    rivals: tuple[Rival, ...] = ()
    triggers: tuple[Trigger, ...] = ()
    calls: tuple[Call, ...] = ()
    way_out: tuple[WayOut, ...] = ()
    uncovered: tuple[str, ...] = ()
    target: float | None = None
    reachable: bool = True  # the asked target or budget can be met
    earliest: date | None = None  # first day that reaches the target when the deadline can't
    notes: tuple[str, ...] = field(default=())
    outlay: Decimal = Decimal(0)  # what is paid; `cost` is that less what is expected back for parts returned
    top_up: Decimal = Decimal(0)  # goods bought only to reach a supplier's minimum order
    since: datetime | None = None  # when the plan was made that it is compared with
    changes: tuple[str, ...] = ()  # what is different from that plan, and why; () when there is none
    free_choice: float | None = None  # simulated, the fitters taking what has come instead of a fixed order
