"""What is stored: frozen records of the shop, its machines, parts, suppliers, orders and jobs.

Ids are UUID texts: version 5 of (source, row key) for imports, version 4 for what is entered by hand. Dates
without a time are calendar days at the place named; every datetime is time-zone aware.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from decimal import Decimal
from typing import Literal

from partsdb.model import Measured, Spec, WayOut
from partsdb.money import Money
from partsdb.weekdays import WORKWEEK

Condition = Literal["new", "used and tested", "unknown", "suspect"]
Units = Literal["metric", "inch"]
UNITS: tuple[Units, ...] = ("metric", "inch")
CONDITIONS: tuple[Condition, ...] = ("new", "used and tested", "unknown", "suspect")


@dataclass(frozen=True, slots=True)
class Hours:
    """Working hours of one weekday (0 = Monday)."""

    weekday: int
    opens: time
    closes: time


@dataclass(frozen=True, slots=True)
class Calendar:
    """Where and when somebody works. zone: IANA name; country, region: ISO 3166-1/-2 for public holidays;
    weekdays: working weekdays (0 = Monday); closures: extra closed days (works holidays)."""

    zone: str
    country: str
    region: str = ""
    weekdays: tuple[int, ...] = WORKWEEK
    closures: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True)
class Shop:
    """The user's own shop: set once. goods_in: when parcels are received; supply: what feeds the machines;
    rates: units of the shop's currency per unit of another; units: "inch" shows inches, horsepower and °F beside
    the metric figures, and asks for the unit of a number that might be either."""

    name: str
    calendar: Calendar
    hours: tuple[Hours, ...]
    goods_in: tuple[Hours, ...]
    currency: str = "GBP"
    fitters: int = 1
    supply_voltage: float | None = None
    supply_frequency: float | None = None
    supply_phases: int | None = None
    labour_hour: Money | None = None
    rates: Mapping[str, Decimal] = field(default_factory=dict)
    units: Units = "metric"


@dataclass(frozen=True, slots=True)
class Machine:
    """A machine. plate_*: what its own plate says it wants, before anybody altered it."""

    id: str
    name: str
    year: int | None = None
    country: str = ""
    plate_voltage: float | None = None
    plate_frequency: float | None = None
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Position:
    """A place for a part on a machine, with its three truths: what was fitted, what plate or drawing says
    (both as specifications, None when unknown), and what the place needs (its duty)."""

    id: str
    machine_id: str
    name: str
    family: str
    fitted: Spec | None = None
    drawing: Spec | None = None
    duty: Mapping[str, float | str] = field(default_factory=dict)
    safety_function: bool = False


BREAK = " | "
"""Between the pieces of `Part.unread`; no piece has it."""


@dataclass(frozen=True, slots=True)
class Part:
    """A part on the shelf or in a catalogue. quantity 0 and condition None: catalogue only. unread: pieces that stand
    on it or in its list's row and may make it another part than its values say, or tell of damage; None where there
    are none."""

    id: str
    family: str
    spec: Spec
    designation: str = ""
    maker: str = ""
    aliases: tuple[str, ...] = ()
    title: str = ""
    quantity: int = 0
    condition: Condition | None = None
    tested_on: date | None = None
    place: str = ""
    source: str = ""
    unread: str | None = None


@dataclass(frozen=True, slots=True)
class Described:
    """What a list says of a part in words: its values, and what of the words isn't understood (as in `Part.unread`)."""

    spec: Spec
    unread: str | None = None


@dataclass(frozen=True, slots=True)
class Service:
    """How a supplier gets goods to the shop.

    cut_off: order by this local time for the same supplier day; handling_days: supplier working days from
    order to hand-over when in stock (low, high); transit_days: carrier working days (low, high), 0 for
    collection; freight: per parcel; collect: somebody drives there. customs_days: (low, high) for imports.
    """

    id: str
    name: str
    cut_off: time
    handling_days: tuple[int, int] = (0, 0)
    transit_days: tuple[int, int] = (1, 1)
    freight: Money = Money(0, "GBP")
    collect: bool = False
    customs_days: tuple[int, int] = (0, 0)
    delivers: tuple[int, ...] = WORKWEEK


@dataclass(frozen=True, slots=True)
class Supplier:
    """A supplier. minimum_order: goods below it are topped up; rewinds: family names it repairs."""

    id: str
    name: str
    calendar: Calendar
    services: tuple[Service, ...]
    minimum_order: Money = Money(0, "GBP")
    telephone: str = ""
    returns: float = 0.8
    repairs: tuple[str, ...] = ()


Stock = Literal["in stock", "to order", "not stated", "put by"]


@dataclass(frozen=True, slots=True)
class Offer:
    """A supplier's offer of a part (or a repair of a family's part when `repair` is set).

    lead_days: quoted supplier working days when not in stock (low, high); pack: sold in multiples of it;
    quoted_on: day of the quotation; stock_units: pieces said to be there, None when only "in stock" is said;
    stock "put by": somebody there has it in hand and holds it in our name.
    """

    id: str
    supplier_id: str
    part_id: str
    price: Money
    stock: Stock = "not stated"
    lead_days: tuple[int, int] = (5, 10)
    pack: int = 1
    stock_units: int | None = None
    quoted_on: date | None = None
    repair: bool = False
    source: str = ""


@dataclass(frozen=True, slots=True)
class Delivery:
    """One past or open order line. received_on None = still open. quoted_days: (low, high) supplier working days
    then quoted. said_in_stock: what was claimed; was_in_stock: what turned out; right: the right thing came.
    An order of ours also knows its job, what was wanted, when it was placed, a new promised day and what was paid."""

    id: str
    supplier_id: str
    ordered_on: date
    received_on: date | None
    quoted_days: tuple[int, int]
    said_in_stock: bool = False
    was_in_stock: bool | None = None
    right: bool | None = None
    offer_id: str = ""
    service_id: str = ""
    job_id: str = ""
    wanted_id: str = ""
    quantity: int = 1
    ordered_at: datetime | None = None
    promised_on: date | None = None
    paid: Money | None = None
    cancelled: bool = False


@dataclass(frozen=True, slots=True)
class Job:
    """A paid job that waits for a machine. due: promised delivery; run_hours: shop hours the job runs after the
    repair; late_day: cost of one late calendar day; lost_order: cost when given up; way_out: what can still be
    done when the plan fails."""

    id: str
    name: str
    machine_id: str
    due: datetime
    run_hours: float
    late_day: Money
    lost_order: Money | None = None
    way_out: tuple[WayOut, ...] = ()


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """How a line of the plan stood when the job's orders were placed. order_by None: nothing was to be ordered."""

    option: str
    title: str
    p_in_time: float
    order_by: datetime | None = None


@dataclass(frozen=True, slots=True)
class OrderedPlan:
    """The plan a job's orders were last placed by, to compare the next one with. id: the job's; probability: of
    being in time, as it looked then [-]."""

    id: str
    made_at: datetime
    probability: float
    lines: tuple[PlannedLine, ...] = ()

    @property
    def options(self) -> tuple[str, ...]:
        """The options that the plan chose."""
        return tuple(dict.fromkeys(line.option for line in self.lines))


@dataclass(frozen=True, slots=True)
class Decision:
    """What was decided for a position and why: the machine's record for the next failure."""

    id: str
    position_id: str
    decided_at: datetime
    what: str
    why: str
    part_ids: tuple[str, ...] = ()
    temporary_until: date | None = None
    conditions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Inquiry:
    """One failure being worked on, saved as it goes: what is on the part, what was measured, what was answered.

    answers: question -> answer, duty terms among them; ended_at None = still open.
    """

    id: str
    started_at: datetime
    fragments: tuple[str, ...] = ()
    measurements: tuple[Measured, ...] = ()
    family: str = ""
    machine_id: str = ""
    position_id: str = ""
    answers: Mapping[str, str | float] = field(default_factory=dict)
    ended_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Wanted:
    """What's wanted for a job: a need that came out of an inquiry. exists: probability that it is real [-]."""

    id: str
    job_id: str
    inquiry_id: str
    title: str
    install_hours: float = 1.0
    after: tuple[str, ...] = ()
    exists: float = 1.0


@dataclass(frozen=True, slots=True)
class Temporary:
    """The register of stand-ins: what runs where, until when, under which conditions."""

    id: str
    position_id: str
    part_ids: tuple[str, ...]
    fitted_at: datetime
    replace_by: date
    stated_hours: float | None
    conditions: tuple[str, ...] = ()
    removed_on: date | None = None


SuccessionKind = Literal["superseded by", "same as", "maker became"]
SUCCESSIONS: tuple[SuccessionKind, ...] = ("superseded by", "same as", "maker became")


@dataclass(frozen=True, slots=True)
class Succession:
    """One step in the history of numbers: a number superseded by another, two numbers of one part, or a maker that
    became another (no numbers then: every number went along). maker "" = of any maker; source: who says so."""

    id: str
    kind: SuccessionKind
    maker: str
    number: str
    to_maker: str
    to_number: str
    since: date | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class Settlement:
    """Which of the sources that disagree about a part was found right for one attribute, by whom and why.

    maker, designation: the part's; source: the one believed, as its value cites it; by: a person or a rule.
    """

    id: str
    maker: str
    designation: str
    attribute: str
    qualifier: str
    variant: int
    source: str
    by: str
    why: str
    settled_at: datetime
