"""Which record goes into which table, and how: one RecordType for each.

A field becomes the columns that `columns.codec_of` says; a text field whose column may be NULL stores ""
as NULL (an id that names nothing). Fields that hold many items have a table of their own (Child).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import cache
from operator import attrgetter
from typing import Any

from sqlalchemy import Table

from partsdb import records as r
from partsdb.lineage import plain
from partsdb.model import Measured, Spec, Value
from partsdb.source import Source
from partsdb.store import schema
from partsdb.store.columns import Cells, codec_of


@dataclass(frozen=True, slots=True)
class Field:
    """Columns of one field. `put` takes the whole record; `take` None: the columns only help to search.

    plain: its one cell is the value itself, so that many of them are fetched in one go.
    """

    name: str
    columns: tuple[str, ...]
    put: Callable[[Any], tuple[Any, ...]]
    take: Callable[[Cells], Any] | None
    plain: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Child:
    """A field with many items in a table of its own, keyed by the parent's id and an ordinal.

    put: record -> rows without key and ordinal; take: (what the parent's columns gave, rows) -> field's value.
    shared: a column and its word, where two fields share the table (a position's two specifications).
    """

    name: str
    table: Table
    columns: tuple[str, ...]
    put: Callable[[Any], Iterable[Cells]]
    take: Callable[[Any, Sequence[Cells]], Any]
    shared: tuple[str, str] | None = None

    @property
    def key(self) -> str:
        """The column that names the parent."""
        return next(iter(self.table.primary_key.columns)).name


@dataclass(frozen=True, slots=True, eq=False)
class RecordType:
    """A record type and its tables. word: what a person calls it; label: the field a person calls one by."""

    record: type[Any]
    table: Table
    fields: tuple[Field, ...]
    children: tuple[Child, ...] = ()
    word: str = ""
    label: str = "id"

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns of the main table, in the order of a row."""
        return tuple(c for f in self.fields for c in f.columns)

    def rower(self) -> Callable[[Any], tuple[Any, ...]]:
        """A function from a record to its row of the main table. Plain fields come first."""
        direct = tuple(f.name for f in self.fields if f.plain)
        others = tuple(f.put for f in self.fields if not f.plain)
        fetch: Callable[[Any], Any] = attrgetter(*direct)
        one = len(direct) == 1

        def row(record: Any) -> tuple[Any, ...]:
            cells: tuple[Any, ...] = (fetch(record),) if one else fetch(record)
            for put in others:
                cells += put(record)
            return cells

        return row

    def row(self, record: Any) -> tuple[Any, ...]:
        """The record's row of the main table."""
        return _rower(self)(record)

    def record_from(self, row: Cells, child_rows: Sequence[Sequence[Cells]]) -> Any:
        """The record from its row of the main table and its rows of each child table."""
        values: dict[str, Any] = {}
        at = 0
        for one in self.fields:
            if one.take is not None:
                values[one.name] = one.take(row[at : at + len(one.columns)])
            at += len(one.columns)
        for child, rows in zip(self.children, child_rows, strict=True):
            values[child.name] = child.take(values.get(child.name), rows)
        return self.record(**values)


@cache
def _rower(kind: RecordType) -> Callable[[Any], tuple[Any, ...]]:
    return kind.rower()


def _plain_first(some: Iterable[Field]) -> tuple[Field, ...]:
    return tuple(sorted(some, key=lambda one: not one.plain))


# --------------------------------------------------------------------------- fields from annotations


def _field(name: str, annotation: str, table: Table | None, prefix: str = "") -> Field:
    codec = codec_of(annotation)
    columns = tuple(prefix + name + suffix for suffix in codec.suffixes)
    if annotation == "str" and table is not None and table.c[columns[0]].nullable:
        return Field(name, columns, lambda x: (getattr(x, name) or None,), lambda cells: cells[0] or "")
    if codec.plain:
        return Field(name, columns, lambda x: (getattr(x, name),), codec.take, plain=True)
    return Field(name, columns, lambda x: codec.put(getattr(x, name)), codec.take)


def _fields(
    record: type[Any], table: Table, *special: Field, leave: tuple[str, ...] = ()
) -> tuple[Field, ...]:
    """A Field for each field of the record that is neither special nor left to a Child."""
    taken = {one.name for one in special} | set(leave)
    ordinary = [_field(f.name, str(f.type), table) for f in fields(record) if f.name not in taken]
    return _plain_first((*ordinary, *special))


def _items(name: str, record: type[Any], table: Table) -> Child:
    """A Child whose rows are the fields of a small record (services, measurements)."""
    inner = _plain_first(_field(f.name, str(f.type), None) for f in fields(record))
    item = RecordType(record, table, inner)
    return Child(
        name,
        table,
        item.columns,
        lambda x: (item.row(one) for one in getattr(x, name)),
        lambda _, rows: tuple(item.record_from(row, ()) for row in rows),
    )


# --------------------------------------------------------------------------- specifications

_VALUE_FIELDS = _plain_first(
    (
        *(_field(f.name, str(f.type), None) for f in fields(Value) if f.name != "source"),
        Field(
            "source",
            ("citation", "status"),
            lambda v: (v.source.citation, v.source.status),
            lambda cells: Source(cells[0], cells[1]),
        ),
    )
)
_VALUE = RecordType(Value, schema.attribute_values, _VALUE_FIELDS)


def _spec_family(name: str) -> Field:
    """The column of a specification's family; NULL where there is no specification."""

    def family(x: Any) -> tuple[Any, ...]:
        spec = getattr(x, name)
        return (None if spec is None else spec.family,)

    return Field(
        name, (f"{name}_family",), family, lambda cells: None if cells[0] is None else Spec(cells[0])
    )


def _spec_values(name: str, table: Table, shared: tuple[str, str] | None = None) -> Child:
    """The values of a specification, in the order given."""

    def take(spec: Spec | None, rows: Sequence[Cells]) -> Spec | None:
        return (
            None if spec is None else replace(spec, values=tuple(_VALUE.record_from(row, ()) for row in rows))
        )

    return Child(
        name,
        table,
        _VALUE.columns,
        lambda x: (_VALUE.row(v) for v in (getattr(x, name) or Spec("")).values),
        take,
        shared,
    )


# --------------------------------------------------------------------------- the kinds

_PART_PLAIN = Field("plain", ("plain",), lambda p: (plain(p.designation),), None)
_OFFER_OF = Field(
    "part_id",
    ("part_id", "repair_of"),
    lambda o: (None, o.part_id) if o.repair else (o.part_id or None, None),
    lambda cells: cells[0] or cells[1] or "",
)
_ALIASES = Child(
    "aliases",
    schema.aliases,
    ("alias", "plain"),
    lambda p: ((alias, plain(alias)) for alias in p.aliases),
    lambda _, rows: tuple(row[0] for row in rows),
)
_SUCCESSION_PLAIN = (
    Field("plain", ("plain",), lambda s: (plain(s.number),), None),
    Field("to_plain", ("to_plain",), lambda s: (plain(s.to_number),), None),
)
_ONE_ROW = Field("only", ("id",), lambda _: (1,), None)


def _kind(record: type[Any], table: Table, word: str, label: str = "id") -> RecordType:
    return RecordType(record, table, _fields(record, table), (), word, label)


ALL: tuple[RecordType, ...] = (
    RecordType(r.Shop, schema.shop, _fields(r.Shop, schema.shop, _ONE_ROW), (), "shop", "name"),
    _kind(r.Machine, schema.machines, "machine", "name"),
    RecordType(
        r.Position,
        schema.positions,
        _fields(r.Position, schema.positions, _spec_family("fitted"), _spec_family("drawing")),
        (
            _spec_values("fitted", schema.position_values, ("truth", "fitted")),
            _spec_values("drawing", schema.position_values, ("truth", "drawing")),
        ),
        "position",
        "name",
    ),
    RecordType(
        r.Part,
        schema.parts,
        _fields(r.Part, schema.parts, _spec_family("spec"), _PART_PLAIN, leave=("aliases",)),
        (_spec_values("spec", schema.attribute_values), _ALIASES),
        "part",
        "designation",
    ),
    RecordType(
        r.Supplier,
        schema.suppliers,
        _fields(r.Supplier, schema.suppliers, leave=("services",)),
        (_items("services", r.Service, schema.services),),
        "supplier",
        "name",
    ),
    RecordType(r.Offer, schema.offers, _fields(r.Offer, schema.offers, _OFFER_OF), (), "offer"),
    _kind(r.Delivery, schema.deliveries, "delivery"),
    _kind(r.Job, schema.jobs, "job", "name"),
    RecordType(
        r.Inquiry,
        schema.inquiries,
        _fields(r.Inquiry, schema.inquiries, leave=("measurements",)),
        (_items("measurements", Measured, schema.measurements),),
        "inquiry",
    ),
    _kind(r.Wanted, schema.wanted, "need", "title"),
    RecordType(
        r.OrderedPlan,
        schema.ordered_plans,
        _fields(r.OrderedPlan, schema.ordered_plans, leave=("lines",)),
        (_items("lines", r.PlannedLine, schema.planned_lines),),
        "plan",
    ),
    _kind(r.Temporary, schema.temporaries, "stand-in"),
    _kind(r.Decision, schema.decisions, "decision"),
    RecordType(
        r.Succession,
        schema.successions,
        _fields(r.Succession, schema.successions, *_SUCCESSION_PLAIN),
        (),
        "succession",
        "number",
    ),
    _kind(r.Settlement, schema.settlements, "settlement", "designation"),
)
"""Every kind, those that others name first."""

BY_RECORD: Mapping[type[Any], RecordType] = {kind.record: kind for kind in ALL}
BY_TABLE: Mapping[str, RecordType] = {kind.table.name: kind for kind in ALL}
