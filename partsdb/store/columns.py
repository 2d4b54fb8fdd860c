"""How one field of a record becomes columns and back, chosen by the field's annotation.

Writing then reading gives an equal value, or writing raises BadInput: nothing is rounded or dropped silently.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, tzinfo
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from partsdb.errors import BadInput
from partsdb.model import WayOut
from partsdb.money import Money
from partsdb.records import Calendar, Hours

Cells = Sequence[Any]


@dataclass(frozen=True, slots=True)
class Codec:
    """Columns (as suffixes of the field's name) for one kind of field.

    put: value -> cells, a tuple; take: cells -> value; plain: the cell to be put is the value itself.
    """

    suffixes: tuple[str, ...]
    put: Callable[[Any], tuple[Any, ...]]
    take: Callable[[Cells], Any]
    plain: bool = False


def moment_text(moment: datetime) -> str:
    """A moment as UTC text of fixed width, with the zone's name behind it (RFC 9557).

    >>> moment_text(datetime(2026, 7, 1, 17, tzinfo=ZoneInfo("Europe/London")))
    '2026-07-01T16:00:00.000000Z[Europe/London]'
    """
    if moment.tzinfo is None:
        raise BadInput(f"{moment.isoformat()} has no time zone", "Say which zone's clock it is")
    utc = moment.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds")
    zone = moment.tzinfo.key if isinstance(moment.tzinfo, ZoneInfo) else None
    return f"{utc}Z[{zone}]" if zone else f"{utc}Z"


def moment_from(text: str) -> datetime:
    """The moment that `moment_text` wrote."""
    stamp, _, zone = text.partition("Z")
    utc = datetime.fromisoformat(stamp).replace(tzinfo=UTC)
    home: tzinfo = ZoneInfo(zone[1:-1]) if zone else UTC
    return utc.astimezone(home)


def json_text(value: Any) -> str:
    """Canonical JSON: sorted keys, no spaces, real characters; BadInput for NaN and infinities."""
    try:
        return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    except (ValueError, TypeError) as fault:
        raise BadInput(f"can't be stored: {fault}", "Numbers must be finite, names must be texts") from fault


def _same(suffix: str = "") -> Codec:
    return Codec((suffix,), lambda value: (value,), lambda cells: cells[0], plain=True)


def _number() -> Codec:
    def put(value: float | None) -> tuple[Any, ...]:
        if value is not None and math.isnan(value):
            raise BadInput("a number to be stored is not a number", "Leave it out when it is unknown")
        return (value,)

    return Codec(("",), put, lambda cells: cells[0])


def _single(put: Callable[[Any], Any], take: Callable[[Any], Any]) -> Codec:
    return Codec(
        ("",),
        lambda value: (None if value is None else put(value),),
        lambda cells: None if cells[0] is None else take(cells[0]),
    )


def _listed(put: Callable[[Any], Any], take: Callable[[Any], Any]) -> Codec:
    return _single(
        lambda items: json_text([put(item) for item in items]),
        lambda text: tuple(take(item) for item in json.loads(text)),
    )


def _money_take(cells: Cells) -> Money | None:
    return None if cells[0] is None else Money(cells[0], cells[1])


MONEY = Codec(("_e4", "_currency"), lambda m: (None, None) if m is None else (m.e4, m.currency), _money_take)
PAIR = Codec(("_low", "_high"), tuple, tuple)
DAY = _single(date.isoformat, date.fromisoformat)
CLOCK = _single(time.isoformat, time.fromisoformat)
MOMENT = _single(moment_text, moment_from)
FLAG = Codec(
    ("",), lambda value: (value,), lambda cells: None if cells[0] is None else bool(cells[0]), plain=True
)
TEXTS = _listed(str, str)
WHOLES = _listed(int, int)
MAPPING = _single(lambda mapping: json_text(dict(mapping)), json.loads)
RATES = _single(
    lambda rates: json_text({currency: str(rate) for currency, rate in rates.items()}),
    lambda text: {currency: Decimal(rate) for currency, rate in json.loads(text).items()},
)
WAYS_OUT = _listed(
    lambda way: [way.title, str(way.cost), moment_text(way.decide_by)],
    lambda item: WayOut(item[0], Decimal(item[1]), moment_from(item[2])),
)
HOURS = _listed(
    lambda h: [h.weekday, h.opens.isoformat(), h.closes.isoformat()],
    lambda item: Hours(item[0], time.fromisoformat(item[1]), time.fromisoformat(item[2])),
)
CALENDAR = Codec(
    ("_zone", "_country", "_region", "_weekdays", "_closures"),
    lambda c: (
        c.zone,
        c.country,
        c.region,
        json_text(list(c.weekdays)),
        json_text([day.isoformat() for day in c.closures]),
    ),
    lambda cells: Calendar(
        cells[0],
        cells[1],
        cells[2],
        tuple(json.loads(cells[3])),
        tuple(date.fromisoformat(day) for day in json.loads(cells[4])),
    ),
)

_BY_ANNOTATION: dict[str, Codec] = {
    "str": _same(),
    "str | None": _same(),
    "int": _same(),
    "int | None": _same(),
    "float": _number(),
    "float | None": _number(),
    "bool": FLAG,
    "bool | None": FLAG,
    "date": DAY,
    "date | None": DAY,
    "time": CLOCK,
    "datetime": MOMENT,
    "datetime | None": MOMENT,
    "Money": MONEY,
    "Money | None": MONEY,
    "Calendar": CALENDAR,
    "Stock": _same(),
    "SuccessionKind": _same(),
    "Condition | None": _same(),
    "Units": _same(),
    "tuple[int, int]": PAIR,
    "tuple[str, ...]": TEXTS,
    "tuple[int, ...]": WHOLES,
    "tuple[Hours, ...]": HOURS,
    "tuple[WayOut, ...]": WAYS_OUT,
    "Mapping[str, Decimal]": RATES,
    "Mapping[str, float | str]": MAPPING,
    "Mapping[str, str | float]": MAPPING,
}


def codec_of(annotation: str) -> Codec:
    """The codec for a field annotated so. Raises KeyError: a new kind of field needs a line above."""
    return _BY_ANNOTATION[annotation]
