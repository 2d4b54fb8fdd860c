"""The tables, as SQLAlchemy Core metadata. migrations/versions/ builds the same ones; a test compares them.

Ids are texts (UUIDs). Numbers are in SI units. Money is two columns: an integer of 1/10,000 and a currency.
Days are ISO dates; moments are UTC ISO texts of fixed width, so that they sort, with the zone's name in
brackets behind where it matters (RFC 9557). Small lists that nobody searches are JSON texts. An id that a
history only mentions (the offer of an old delivery) has no foreign key: histories outlive what they name.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
)

REVISIONS = ("0004", "0005")
"""Every schema revision, oldest first; the last is the one this program works with."""
DRAFTS = ("0001", "0002", "0003")
"""Revisions from before the first release, which can't be upgraded. The tables of the last are still among ours, so
what was exported from it can be brought back."""

METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _id() -> Column[str]:
    return Column("id", Text, primary_key=True)


def _text(name: str) -> Column[str]:
    return Column(name, Text, nullable=False)


def _maybe(name: str) -> Column[str]:
    return Column(name, Text)


def _json(name: str) -> Column[str]:
    return Column(name, Text, nullable=False)


def _whole(name: str, *, maybe: bool = False) -> Column[int]:
    return Column(name, BigInteger, nullable=maybe)


def _real(name: str, *, maybe: bool = True) -> Column[float]:
    return Column(name, Double, nullable=maybe)


def _flag(name: str, *, maybe: bool = False) -> Column[bool]:
    return Column(name, Boolean, nullable=maybe)


def _money(name: str, *, maybe: bool = False) -> tuple[Column[Any], ...]:
    return Column(f"{name}_e4", BigInteger, nullable=maybe), Column(f"{name}_currency", Text, nullable=maybe)


def _range(name: str) -> tuple[Column[int], ...]:
    return _whole(f"{name}_low"), _whole(f"{name}_high")


def _calendar() -> tuple[Column[str], ...]:
    names = ("zone", "country", "region", "weekdays", "closures")
    return tuple(Column(f"calendar_{name}", Text, nullable=False) for name in names)


def _names(name: str, table: str, *, maybe: bool = False, cascade: bool = False) -> Column[str]:
    """A foreign key. Checked at commit, so that records may come in any order within a transaction."""
    key = ForeignKey(
        f"{table}.id", ondelete="CASCADE" if cascade else None, deferrable=True, initially="DEFERRED"
    )
    return Column(name, Text, key, nullable=maybe)


def _child_of(name: str, table: str) -> tuple[Column[Any], ...]:
    key = ForeignKey(f"{table}.id", ondelete="CASCADE", deferrable=True, initially="DEFERRED")
    return Column(name, Text, key, primary_key=True), Column("ordinal", Integer, primary_key=True)


def _origin() -> tuple[Column[Any], ...]:
    """Which import brought the row, and from which row of its file; NULL for what was entered by hand."""
    key = ForeignKey("imports.id", deferrable=True, initially="DEFERRED")
    return Column("import_id", Integer, key), Column("import_row", BigInteger)


def _value_columns() -> tuple[Column[Any], ...]:
    return (
        Column("attribute", Text, nullable=False),
        _real("low"),
        _real("high"),
        _maybe("code"),
        _text("qualifier"),
        Column("variant", Integer, nullable=False),
        _text("citation"),
        Column("status", Text, nullable=False),
        _real("confidence", maybe=False),
        _text("as_written"),
    )


meta = Table(
    "meta",
    METADATA,
    Column("id", Integer, CheckConstraint("id = 1", name="one_row"), primary_key=True),
    Column("database_id", Text, nullable=False),
    Column("version", BigInteger, nullable=False),
    Column("created_at", Text, nullable=False),
)

imports = Table(
    "imports",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("source", Text, nullable=False, index=True),
    Column("digest", Text, nullable=False),
    Column("importer", Text, nullable=False),
    Column("imported_at", Text, nullable=False),
    _flag("declared_full"),
    _whole("rows"),
    _whole("faults"),
)

shop = Table(
    "shop",
    METADATA,
    Column("id", Integer, CheckConstraint("id = 1", name="one_row"), primary_key=True),
    _text("name"),
    *_calendar(),
    _json("hours"),
    _json("goods_in"),
    Column("currency", Text, nullable=False),
    _whole("fitters"),
    _real("supply_voltage"),
    _real("supply_frequency"),
    _whole("supply_phases", maybe=True),
    *_money("labour_hour", maybe=True),
    _json("rates"),
    _text("units"),
)

machines = Table(
    "machines",
    METADATA,
    _id(),
    _text("name"),
    _whole("year", maybe=True),
    _text("country"),
    _real("plate_voltage"),
    _real("plate_frequency"),
    _text("notes"),
)

positions = Table(
    "positions",
    METADATA,
    _id(),
    _names("machine_id", "machines"),
    _text("name"),
    _text("family"),
    _maybe("fitted_family"),
    _maybe("drawing_family"),
    _json("duty"),
    _flag("safety_function"),
    Index(None, "machine_id"),
)

position_values = Table(
    "position_values",
    METADATA,
    *_child_of("position_id", "positions"),
    Column(
        "truth",
        Text,
        CheckConstraint("truth = 'fitted' OR truth = 'drawing'", name="truth_known"),
        primary_key=True,
    ),
    *_value_columns(),
)

parts = Table(
    "parts",
    METADATA,
    _id(),
    _text("family"),
    _text("spec_family"),
    _text("designation"),
    _text("plain"),
    _text("maker"),
    _text("title"),
    _whole("quantity"),
    _maybe("condition"),
    _maybe("tested_on"),
    _text("place"),
    _text("source"),
    _maybe("unread"),
    *_origin(),
    Index(None, "plain"),
    Index(None, "family"),
)

attribute_values = Table(
    "attribute_values",
    METADATA,
    *_child_of("part_id", "parts"),
    *_value_columns(),
    *_origin(),
)

aliases = Table(
    "aliases",
    METADATA,
    *_child_of("part_id", "parts"),
    _text("alias"),
    _text("plain"),
    Index(None, "plain"),
)

suppliers = Table(
    "suppliers",
    METADATA,
    _id(),
    _text("name"),
    *_calendar(),
    *_money("minimum_order"),
    _text("telephone"),
    _real("returns", maybe=False),
    _json("repairs"),
    *_origin(),
)

services = Table(
    "services",
    METADATA,
    *_child_of("supplier_id", "suppliers"),
    Column("id", Text, nullable=False),
    _text("name"),
    Column("cut_off", Text, nullable=False),
    *_range("handling_days"),
    *_range("transit_days"),
    *_money("freight"),
    _flag("collect"),
    *_range("customs_days"),
    _json("delivers"),
)

offers = Table(
    "offers",
    METADATA,
    _id(),
    _names("supplier_id", "suppliers"),
    _names("part_id", "parts", maybe=True),
    _maybe("repair_of"),
    *_money("price"),
    _text("stock"),
    *_range("lead_days"),
    _whole("pack"),
    _whole("stock_units", maybe=True),
    _maybe("quoted_on"),
    _flag("repair"),
    _text("source"),
    *_origin(),
    Index(None, "part_id"),
)

deliveries = Table(
    "deliveries",
    METADATA,
    _id(),
    _names("supplier_id", "suppliers"),
    Column("ordered_on", Text, nullable=False),
    _maybe("received_on"),
    *_range("quoted_days"),
    _flag("said_in_stock"),
    _flag("was_in_stock", maybe=True),
    _flag("right", maybe=True),
    _text("offer_id"),
    _text("service_id"),
    _text("job_id"),
    _text("wanted_id"),
    _whole("quantity"),
    _maybe("ordered_at"),
    _maybe("promised_on"),
    *_money("paid", maybe=True),
    _flag("cancelled"),
    *_origin(),
    Index(None, "supplier_id"),
)

jobs = Table(
    "jobs",
    METADATA,
    _id(),
    _text("name"),
    _names("machine_id", "machines", maybe=True),
    Column("due", Text, nullable=False),
    _real("run_hours", maybe=False),
    *_money("late_day"),
    *_money("lost_order", maybe=True),
    _json("way_out"),
)

inquiries = Table(
    "inquiries",
    METADATA,
    _id(),
    Column("started_at", Text, nullable=False),
    _json("fragments"),
    _text("family"),
    _names("machine_id", "machines", maybe=True),
    _names("position_id", "positions", maybe=True),
    _json("answers"),
    _maybe("ended_at"),
)

measurements = Table(
    "measurements",
    METADATA,
    *_child_of("inquiry_id", "inquiries"),
    Column("attribute", Text, nullable=False),
    _real("value", maybe=False),
    _real("sd", maybe=False),
    _text("tool"),
    _text("as_written"),
)

wanted = Table(
    "wanted",
    METADATA,
    _id(),
    _names("job_id", "jobs", maybe=True),
    _names("inquiry_id", "inquiries", maybe=True),
    _text("title"),
    _real("install_hours", maybe=False),
    _json("after"),
    _real("exists", maybe=False),
    Index(None, "job_id"),
)

ordered_plans = Table(
    "ordered_plans",
    METADATA,
    Column("id", Text, ForeignKey("jobs.id", deferrable=True, initially="DEFERRED"), primary_key=True),
    Column("made_at", Text, nullable=False),
    _real("probability", maybe=False),
)

planned_lines = Table(
    "planned_lines",
    METADATA,
    *_child_of("plan_id", "ordered_plans"),
    _text("option"),
    _text("title"),
    _real("p_in_time", maybe=False),
    _maybe("order_by"),
)

temporaries = Table(
    "temporaries",
    METADATA,
    _id(),
    _names("position_id", "positions", maybe=True),
    _json("part_ids"),
    Column("fitted_at", Text, nullable=False),
    Column("replace_by", Text, nullable=False),
    _real("stated_hours"),
    _json("conditions"),
    _maybe("removed_on"),
)

decisions = Table(
    "decisions",
    METADATA,
    _id(),
    _names("position_id", "positions", maybe=True),
    Column("decided_at", Text, nullable=False),
    _text("what"),
    _text("why"),
    _json("part_ids"),
    _maybe("temporary_until"),
    _json("conditions"),
)

successions = Table(
    "successions",
    METADATA,
    _id(),
    _text("kind"),
    _text("maker"),
    _text("number"),
    _text("plain"),
    _text("to_maker"),
    _text("to_number"),
    _text("to_plain"),
    _maybe("since"),
    _text("source"),
    *_origin(),
    Index(None, "plain"),
    Index(None, "to_plain"),
)

settlements = Table(
    "settlements",
    METADATA,
    _id(),
    _text("maker"),
    _text("designation"),
    _text("attribute"),
    _text("qualifier"),
    _whole("variant"),
    _text("source"),
    _text("by"),
    _text("why"),
    Column("settled_at", Text, nullable=False),
)

fetches = Table(
    "fetches",
    METADATA,
    Column("address", Text, primary_key=True),
    _text("etag"),
    _text("modified"),
    Column("fetched_at", Text, nullable=False),
)
