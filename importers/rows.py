"""One row of a list: its cells read as texts, numbers, money, days; every fault is collected, none raised.

A reader that finds a fault notes it and returns something harmless; the row is then dropped as a whole.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from decimal import ROUND_HALF_UP
from functools import lru_cache

from partsdb.errors import Finding, NotFound
from partsdb.family import Family, family_named
from partsdb.guard import unguarded
from partsdb.importers.amounts import decimal_of, split_currency
from partsdb.importers.layout import Carried, Layout, carried
from partsdb.importers.words import understood
from partsdb.model import Spec
from partsdb.money import Money
from partsdb.records import Described, Succession

CONTROLS = re.compile(r"[\x00-\x08\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ufffd]")


def _no_part(designation: str, maker: str) -> str | None:
    return None


def _no_supplier(name: str) -> str | None:
    return None


def _says_nothing(family: Family, designation: str, description: str) -> Described:
    return Described(Spec(family.name))


def _nothing_odd(family: Family, *texts: str) -> str | None:
    return None


def _names_nothing(description: str) -> Family | None:
    return None


@dataclass(frozen=True, slots=True)
class References:
    """What a list may refer to. part_id: (designation, maker) -> id of a part in the records, or None;
    supplier_id: name -> id, or None; describe: (family, designation, description) -> what these say of the part;
    odd: (family, texts) -> words in them that change the part or tell of damage, where they aren't read for more;
    kind_named: the kind of part a description names, or None.
    supplier, family, currency: what every row is where the list doesn't say; steps: how numbers and makers succeed
    one another already.
    """

    families: Mapping[str, Family]
    part_id: Callable[[str, str], str | None] = _no_part
    supplier_id: Callable[[str], str | None] = _no_supplier
    describe: Callable[[Family, str, str], Described] = _says_nothing
    odd: Callable[..., str | None] = _nothing_odd
    kind_named: Callable[[str], Family | None] = _names_nothing
    supplier: str = ""
    family: str = ""
    currency: str = "GBP"
    steps: Sequence[Succession] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """What all rows of a list share: its name, source, header, and the column of each target."""

    name: str
    source: str
    headers: tuple[str, ...]
    columns: Mapping[str, int]
    layout: Layout
    known: References
    decimal: str = ""
    carried: dict[str, tuple[Carried, ...]] = field(default_factory=dict)
    targets: list[str] = field(default_factory=list)

    def said(self, cells: Sequence[str]) -> dict[str, str]:
        """The cells of a row by target, with what the layout says of every row."""
        if not self.targets:
            of = {at: target for target, at in self.columns.items()}
            self.targets.extend(of.get(at, "") for at in range(len(self.headers)))
        found = dict(zip(self.targets, cells, strict=False))
        return {**self.layout.fixed, **found} if self.layout.fixed else found

    def attributes(self, family: Family) -> tuple[Carried, ...]:
        """The columns that carry attributes of that family."""
        if family.name not in self.carried:
            free = carried(self.headers, family, self.layout)
            taken = set(self.columns.values())
            self.carried[family.name] = tuple(one for one in free if one.at not in taken)
        return self.carried[family.name]


@dataclass(slots=True)
class Row:
    """A row and the faults found in it so far. raw: the cells as they stand; cells: the same, tidied;
    said: the cells by target."""

    sheet: Sheet
    number: int
    raw: Sequence[str]
    cells: Sequence[str]
    said: Mapping[str, str]
    findings: list[Finding] = field(default_factory=list)

    @property
    def where(self) -> str:
        """File and row, as findings and sources name it."""
        return f"{self.sheet.name}:{self.number}"

    def fault(self, target: str, found: str, expected: str) -> None:
        """Notes a fault in the target's cell."""
        at = self.sheet.columns.get(target)
        self.findings.append(
            Finding(self.where, target if at is None else self.sheet.headers[at], found, expected)
        )

    def text(self, target: str) -> str:
        """The cell as tidy text; "" when the list doesn't have it."""
        return self.said.get(target, "")

    def need(self, target: str) -> str:
        """The cell as text; a fault when it is empty."""
        found = self.text(target)
        if not found:
            self.fault(target, "", f"a {target}")
        return found

    def whole(self, target: str, default: int | None = None, *, least: int = 0) -> int:
        """The cell as a whole number; `default` when empty (None: a fault)."""
        found = self.text(target)
        if not found and default is not None:
            return default
        number = _whole(found)
        if number is None or not least <= number <= 10**9:
            self.fault(target, found, f"a whole number, at least {least}")
            return least
        return number

    def span(self, target: str, default: tuple[int, int]) -> tuple[int, int]:
        """The cell as a range of whole numbers: "5" or "5-10"; `default` when empty."""
        found = self.text(target)
        if not found:
            return default
        days = _days(found)
        if days is None:
            self.fault(target, found, "days like 5 or 5-10")
        return days or default

    def share(self, target: str, default: float) -> float:
        """The cell as a share 0..1 [-], also written as percent."""
        found = self.text(target)
        if not found:
            return default
        try:
            number = float(found.removesuffix("%")) / (100 if found.endswith("%") else 1)
        except ValueError:
            number = -1.0
        if not 0 <= number <= 1:
            self.fault(target, found, "a share like 0.8 or 80 %")
            return default
        return number

    def flag(self, target: str) -> bool | None:
        """The cell as yes or no; None when empty."""
        found = self.text(target)
        meant = understood("yes or no").get(found.casefold())
        if meant:
            return meant == "yes"
        if found:
            self.fault(target, found, "yes or no")
        return None

    def day(self, target: str) -> date | None:
        """The cell as a day; None when empty."""
        found = self.text(target)
        if not found:
            return None
        day = _day(found, self.sheet.layout.date)
        if day is None:
            self.fault(target, found, "a day like 2026-11-04 (or state its form in the layout)")
        return day

    def clock(self, target: str) -> time:
        """The cell as a time of day; a fault when it is none."""
        found = self.text(target)
        try:
            return time.fromisoformat(found if len(found.partition(":")[0]) == 2 else f"0{found}")
        except ValueError:
            self.fault(target, found, "a time like 15:30")
            return time(0)

    @property
    def _points(self) -> bool:
        """Whether a point is the decimal mark, as far as is known."""
        return (self.sheet.layout.decimal or self.sheet.decimal) != ","

    def amount(self, target: str, *, default: str = "") -> Money:
        """The cell as money. Its currency stands in the cell, in column `currency`, or is the list's."""
        found = self.text(target) or default
        stated = self.text("currency").upper() or self.sheet.known.currency
        whole, _, part = found.partition(".")
        digits = whole + part
        # nearly every cell is of this form
        quick = digits.isdecimal() and len(whole) < 10 and 0 < len(part) < 5 and self._points
        if quick and len(stated) == 3 and stated.isalpha():
            return Money(int(digits) * 10 ** (4 - len(part)), stated)
        digits, currency = split_currency(found)
        currency = currency or stated
        exact = decimal_of(digits, self.sheet.layout.decimal or self.sheet.decimal)
        if exact is None or exact < 0 or exact >= 10**12 or len(currency) != 3 or not currency.isalpha():
            self.fault(
                target, found, "an amount like 12.50, or 12.50 EUR; 1,250 only with its pence: 1,250.00"
            )
            return Money(0, "GBP")
        return Money(int((exact * 10_000).to_integral_value(ROUND_HALF_UP)), currency)

    def family(self, *, needed: bool = True) -> Family | None:
        """The kind of part the row says it is of, or its description names; a fault when it is none, or when it is
        needed and missing."""
        found = self.text("family") or self.sheet.known.family
        if not found and (named := self.sheet.known.kind_named(self.text("title"))) is not None:
            return named
        if not found and not needed:
            return None
        try:
            return family_named(found, self.sheet.known.families)
        except NotFound:
            self.fault("family", found, f"a kind of part: {', '.join(self.sheet.known.families)}")
            return None


# lists say the same few numbers and days again and again


@lru_cache(maxsize=4096)
def _whole(text: str) -> int | None:
    try:
        return int(text)
    except ValueError:
        return None


@lru_cache(maxsize=4096)
def _days(text: str) -> tuple[int, int] | None:
    """ "5" or "5-10" as the least and most days; None when it is neither."""
    for word in understood("days"):
        text = text.removesuffix(word)
    low, _, high = text.replace("–", "-").replace(" ", "").partition("-")
    if low.isdecimal() and (high or low).isdecimal() and int(low) <= int(high or low) <= 10_000:
        return int(low), int(high or low)
    return None


@lru_cache(maxsize=4096)
def _day(text: str, form: str) -> date | None:
    """The day, in the stated form, as ISO or with points; None when it is none."""
    for one in (form, "%Y-%m-%d", "%d.%m.%Y", "%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M:%S"):
        try:
            if one:
                return datetime.strptime(text, one).date()  # noqa: DTZ007 - a day has no zone
        except ValueError:
            continue
    return None


def tidy(raw: Sequence[str]) -> Sequence[str]:
    """The cells with single blanks, none at the ends, and without the mark that guards a formula.

    A whole row is looked at at once, because nearly every row is tidy as it stands.
    """
    line = "|".join(raw)
    if (
        line.isprintable()
        and "  " not in line
        and "| " not in line
        and " |" not in line
        and "|'" not in line
        and "\ufffd" not in line
        and not line.startswith((" ", "'"))
        and not line.endswith(" ")
    ):
        return raw
    return [" ".join(unguarded(cell).split()) for cell in raw]
