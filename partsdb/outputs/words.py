"""One value, limit, time or amount in the words a fitter uses, and wrapping for a narrow screen."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from partsdb.family import Family
from partsdb.guard import clean
from partsdb.intervals import Interval
from partsdb.model import Limit, Spec
from partsdb.spoken import value_text


def wrapped(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """The text in lines of at most `width` cells; `first` and `rest` are the indents."""
    hanging = " " * len(first) if rest is None else rest
    lines: list[str] = []
    for number, paragraph in enumerate(clean(text).split("\n")):
        lines += textwrap.wrap(
            paragraph,
            width,
            initial_indent=first if number == 0 else hanging,
            subsequent_indent=hanging,
            break_on_hyphens=False,
        ) or [first.rstrip()]
    return lines


def bullets(texts: Iterable[str], width: int, mark: str = "  - ") -> list[str]:
    """Each text as a wrapped bullet."""
    return [line for text in texts for line in wrapped(text, width, mark)]


def row(left: str, right: str, width: int) -> list[str]:
    """`left` and `right` on one line, `right` flush with the margin; on two when they don't fit."""
    left, right = clean(left), clean(right)
    if len(left) + len(right) + 2 <= width:
        return [left + " " * (width - len(left) - len(right)) + right]
    indent = " " * (len(left) - len(left.lstrip()) + 2)
    return [*wrapped(left.lstrip(), width, indent[2:], indent), f"{right:>{width}}"]


def percent(p: float) -> str:
    """A probability in whole percent, never rounded to certainty.

    >>> percent(0.832), percent(0.9996), percent(0.0001), percent(1.0)
    ('83 %', 'over 99 %', 'under 1 %', '100 %')
    """
    if 0.9949 <= p < 1 - 1e-9:
        return "over 99 %"
    if 0 < p < 0.0051:
        return "under 1 %"
    return f"{100 * p:.0f} %"


def limit_text(family: Family, limit: Limit) -> str:
    """A limit as one asks for it over the counter: "voltage: at least 440 V"."""
    attribute = family.attribute(limit.attribute)
    if isinstance(limit.accept, Interval):
        asked = attribute.spoken(limit.accept.low, limit.accept.high)
        if limit.kind == "covers":
            asked = f"suitable for {asked}"
    else:
        asked = " or ".join(attribute.codes.get(code, code) for code in limit.accept)
    qualifier = f" ({limit.qualifier})" if limit.qualifier else ""
    return f"{attribute.title}{qualifier}: {asked}"


def spec_lines(family: Family, spec: Spec) -> list[str]:
    """Every value of a specification, one a line: "capacitance: 25 µF"."""
    return [f"{family.attribute(v.attribute).title}: {value_text(family, v)}" for v in spec.values]


def amount(x: Decimal, currency: str) -> str:
    """Money: "1,234.50 GBP"."""
    return f"{x:,.2f} {currency}".strip()


def when(at: datetime, zone: str) -> str:
    """A moment as a person says it, in the zone named: "Mon 1 Jun 14:00"."""
    local = at.astimezone(ZoneInfo(zone))
    return f"{local:%a} {local.day} {local:%b %H:%M}"


def sentence(text: str) -> str:
    """A text as a sentence: with a capital and an end."""
    ended = text if text.endswith((".", "?", "!")) else f"{text}."
    return ended[:1].upper() + ended[1:]
