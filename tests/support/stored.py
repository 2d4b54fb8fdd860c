"""Generated records for the store's tests: every field takes every kind of value its annotation allows."""

from __future__ import annotations

import tempfile
from dataclasses import fields
from datetime import UTC, date, datetime, time, timedelta, timezone
from functools import cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from partsdb import records as r
from partsdb.model import Measured, Spec, Value, WayOut
from partsdb.money import Money
from partsdb.source import Source, Status
from partsdb.store import Store, open_store, schema

NOW = datetime(2026, 11, 25, 10, tzinfo=UTC)
TODAY = schema.REVISIONS
NASTY = ("'); DROP TABLE parts; --", "\x1b[31mred", "=1+1", "µF Ω ñ 継", "a\x00b", "\r\n", '"', "  ", "[]")

texts = st.one_of(st.text(st.characters(exclude_categories=["Cs"]), max_size=12), st.sampled_from(NASTY))
names = texts.filter(bool)
wholes = st.integers(-(2**63), 2**63 - 1)
reals = st.floats(allow_nan=False)
finite = st.floats(allow_nan=False, allow_infinity=False)
clocks = st.times()
zones = st.sampled_from(
    [UTC, ZoneInfo("Europe/London"), ZoneInfo("America/New_York"), timezone(timedelta(hours=5, minutes=30))]
)
moments = st.datetimes(
    datetime(1900, 1, 1),  # noqa: DTZ001 - hypothesis wants its bounds without a zone
    datetime(2150, 1, 1),  # noqa: DTZ001 - likewise
    timezones=zones,
    allow_imaginary=False,
)
money = st.builds(Money, wholes, st.sampled_from(["GBP", "EUR", "USD"]))
pairs = st.tuples(wholes, wholes)
sources = st.builds(Source, texts, st.sampled_from(Status.__args__))  # type: ignore[attr-defined]  # Literal's words


def _listed(one: st.SearchStrategy[Any]) -> st.SearchStrategy[tuple[Any, ...]]:
    return st.lists(one, max_size=3).map(tuple)


values = st.one_of(
    st.builds(
        lambda a, ends, q, v, s, c, w: Value(a, min(ends), max(ends), None, q, v, s, c, w),
        names,
        st.tuples(reals, reals),
        texts,
        st.integers(0, 3),
        sources,
        st.floats(0, 1),
        texts,
    ),
    st.builds(lambda a, low, s: Value(a, low, None, source=s), names, reals, sources),
    st.builds(lambda a, c, s: Value(a, code=c, source=s), names, texts, sources),
)
specs = st.builds(Spec, texts, _listed(values))
hours = st.builds(r.Hours, st.integers(0, 6), clocks, clocks)
calendars = st.builds(r.Calendar, names, names, texts, _listed(st.integers(0, 6)), _listed(st.dates()))

BY_ANNOTATION: dict[str, st.SearchStrategy[Any]] = {
    "str": texts,
    "str | None": st.none() | texts,
    "int": wholes,
    "int | None": st.none() | wholes,
    "float": reals,
    "float | None": st.none() | reals,
    "bool": st.booleans(),
    "bool | None": st.none() | st.booleans(),
    "date": st.dates(),
    "date | None": st.none() | st.dates(),
    "time": clocks,
    "datetime": moments,
    "datetime | None": st.none() | moments,
    "Money": money,
    "Money | None": st.none() | money,
    "Calendar": calendars,
    "Spec": specs,
    "Spec | None": st.none() | specs,
    "Stock": st.sampled_from(["in stock", "to order", "not stated"]),
    "SuccessionKind": st.sampled_from(r.SUCCESSIONS),
    "Units": st.sampled_from(r.UNITS),
    "Condition | None": st.none() | st.sampled_from(r.CONDITIONS),
    "tuple[int, int]": pairs,
    "tuple[str, ...]": _listed(texts),
    "tuple[int, ...]": _listed(wholes),
    "tuple[Hours, ...]": _listed(hours),
    "tuple[WayOut, ...]": _listed(
        st.builds(WayOut, texts, st.decimals(allow_nan=False, allow_infinity=False, places=2), moments)
    ),
    "Mapping[str, Decimal]": st.dictionaries(
        names, st.decimals("0.0001", "9999", allow_nan=False), max_size=3
    ),
    "Mapping[str, float | str]": st.dictionaries(names, finite | texts, max_size=3),
    "Mapping[str, str | float]": st.dictionaries(names, finite | texts, max_size=3),
}


def of(record: type[Any], **given: Any) -> st.SearchStrategy[Any]:
    """Records of the type; `given` are fixed values of fields."""
    free = {f.name: BY_ANNOTATION[str(f.type)] for f in fields(record) if f.name not in given}
    return st.builds(record, **free, **{name: st.just(value) for name, value in given.items()})


BY_ANNOTATION["tuple[Measured, ...]"] = _listed(of(Measured))
BY_ANNOTATION["tuple[Service, ...]"] = _listed(of(r.Service))
BY_ANNOTATION["tuple[PlannedLine, ...]"] = _listed(of(r.PlannedLine))


@st.composite
def shelves(draw: st.DrawFn) -> tuple[Any, ...]:
    """One record of each kind, naming one another as real ones do."""
    maybe = draw(st.booleans())
    machine = draw(of(r.Machine, id="m"))
    position = draw(of(r.Position, id="pos", machine_id="m"))
    return (
        draw(of(r.Offer, id="o1", supplier_id="s", part_id="p", repair=False)),
        draw(of(r.Offer, id="o2", supplier_id="s", part_id="whatever", repair=True)),
        draw(of(r.Delivery, id="d", supplier_id="s")),
        draw(of(r.Wanted, id="w", job_id="j", inquiry_id="q" if maybe else "")),
        draw(of(r.Inquiry, id="q", machine_id="m" if maybe else "", position_id="pos" if maybe else "")),
        draw(of(r.OrderedPlan, id="j")),
        draw(of(r.Temporary, id="t", position_id="pos" if maybe else "")),
        draw(of(r.Decision, id="x", position_id="pos")),
        draw(of(r.Job, id="j", machine_id="m" if maybe else "")),
        draw(of(r.Supplier, id="s")),
        draw(of(r.Part, id="p")),
        position,
        machine,
        draw(of(r.Shop)),
        draw(of(r.Succession, id="u")),
        draw(of(r.Settlement, id="e")),
    )


def plain_supplier(id: str = "s", name: str = "Oskarby Supplies (invented)") -> r.Supplier:
    """A supplier with one van service."""
    van = r.Service("van", "Van", time(15, 30))
    return r.Supplier(id, name, r.Calendar("Europe/London", "GB"), (van,))


def plain_part(id: str = "p", designation: str = "ZQ 25-440") -> r.Part:
    """A shelf part with two values."""
    spec = Spec("ac_capacitor", (Value("capacitance", 25e-6, 25e-6), Value("kind", code="run")))
    return r.Part(id, "ac_capacitor", spec, designation, quantity=2, condition="new")


def plain_offer(id: str = "o", supplier: str = "s", part: str = "p", e4: int = 125_000) -> r.Offer:
    """An offer quoted three weeks ago."""
    return r.Offer(id, supplier, part, Money(e4, "GBP"), "in stock", quoted_on=date(2026, 11, 4))


@cache
def _empty_database() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "empty.db"
        open_store(path, now=NOW).close()
        return path.read_bytes()


def filled(folder: Path) -> Path:
    """A database of today's revision with a few records in it, for a later version to upgrade."""
    assert schema.REVISIONS == TODAY, "a later version would make it anew"
    with opened(folder) as store:
        store.put(plain_supplier(), plain_part(), plain_offer(), r.Machine("m", "Strander"))
        return store.path


def opened(folder: Path) -> Store:
    """A store on an empty database in that folder, copied because making one takes a tenth of a second."""
    path = folder / "parts.db"
    folder.mkdir(parents=True, exist_ok=True)
    if not path.exists():
        path.write_bytes(_empty_database())
    return open_store(path, now=NOW)
