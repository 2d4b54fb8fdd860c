"""Which column of a list is what: by known names, by families' own column names, or by a small TOML file.

[columns]                        # header in the list = what it is
"Art.-Nr." = "designation"
"C" = "capacitance:µF"           # an attribute with its unit
"Ie" = "current@AC-3@400V:A"     # with a qualifier; "#2" before it ties a value to connection 2
"Bemerkung" = ""                 # not read
[fixed]                          # what every row is, where the list doesn't say
currency = "EUR"
[format]                         # only where looking isn't enough
delimiter = ";"
encoding = "cp1252"
decimal = ","
date = "%d/%m/%Y"
full = true                      # the list is complete: what it no longer has is gone
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from partsdb.attributes import Attribute
from partsdb.errors import BadInput
from partsdb.family import Family
from partsdb.importers.words import understood
from partsdb.quantities import parse, unit


@dataclass(frozen=True, slots=True)
class Layout:
    """What a person said about a list. columns: header -> target; fixed: target -> text; "" = look for yourself."""

    columns: Mapping[str, str] = field(default_factory=dict)
    fixed: Mapping[str, str] = field(default_factory=dict)
    delimiter: str = ""
    encoding: str = ""
    decimal: str = ""
    date: str = ""
    sheet: str = ""
    full: bool = False


def layout_from_toml(text: str, name: str = "layout") -> Layout:
    """The Layout that a TOML file states. Raises BadInput for what isn't TOML or isn't known."""
    try:
        stated = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise BadInput(f"{name} is not TOML: {fault}", 'Write lines like "Price" = "price"') from fault
    form = stated.get("format", {})
    known = {"delimiter", "encoding", "decimal", "date", "sheet", "full"}
    strange = [*(stated.keys() - {"columns", "fixed", "format"}), *(form.keys() - known)]
    tables = [stated.get("columns", {}), stated.get("fixed", {})]
    if strange or not all(isinstance(v, str) for table in tables for v in table.values()):
        what = f"{name} says {strange[0]!r}" if strange else f"{name} gives a column no text"
        raise BadInput(what, "It takes [columns], [fixed] and [format], each header = a text")
    if form.get("decimal", "") not in ("", ".", ",") or len(form.get("delimiter", ",")) != 1:
        raise BadInput(f"{name}: decimal is . or , and delimiter one character")
    return Layout({plain(k): v for k, v in tables[0].items()}, tables[1], **form)


def plain(header: str) -> str:
    """A header as it is compared: one case, single blanks, no underscores, no colon behind.

    >>> plain("  Lead_time  (Days): ")
    'lead time (days)'
    """
    return " ".join(header.replace("_", " ").casefold().split()).rstrip(": ")


@dataclass(frozen=True, slots=True)
class Carried:
    """A column that carries an attribute: its place in the row, the attribute, the unit its header names.

    target: what the layout, or the header itself, states it to be in full.
    """

    at: int
    header: str
    attribute: Attribute
    unit: str = ""
    qualifier: str = ""
    variant: int = 0
    target: str = ""


_BRACKETS = re.compile(r"^(?P<name>.*?)[\s,]*[(\[](?P<unit>[^()\[\]]+)[)\]]$")


def carried(headers: Sequence[str], family: Family, layout: Layout) -> tuple[Carried, ...]:
    """The columns that carry attributes of the family, in the order of the list."""
    found = (_carried(at, header, family, layout) for at, header in enumerate(headers))
    return tuple(one for one in found if one is not None)


def _carried(at: int, header: str, family: Family, layout: Layout) -> Carried | None:
    wanted = plain(header)
    target = layout.columns.get(wanted)
    if target is not None:
        return _stated(at, header, target, family)
    names = _names(family)
    for name, written in _splits(header):
        attribute = names.get(plain(name))
        if attribute is not None:
            return Carried(at, header, attribute, _unit(attribute, written))
        if written and len(name) <= 2 and (only := _only_of(family, written)) is not None:
            symbol = _unit(only, written)
            # a letter alone is a unit only as its symbol: "V", but not "C", which old plates write for cycles
            if name != written or symbol.casefold() == written.casefold():
                return Carried(at, header, only, symbol)
    return _stated(at, header, header.strip(), family)


def _names(family: Family) -> dict[str, Attribute]:
    """Every name a column may have for an attribute; titles and names win over aliases of others."""
    known: dict[str, Attribute] = {}
    for attribute in reversed(family.attributes):
        known.update((plain(alias), attribute) for alias in attribute.header)
    for attribute in family.attributes:
        known[plain(attribute.title)] = attribute
        known[plain(attribute.name)] = attribute
    return known


def _splits(header: str) -> list[tuple[str, str]]:
    """(name, unit) as a header may mean them: "bore (mm)", "bore, mm", "bore in mm", "bore mm", "bore"."""
    whole = " ".join(header.replace("_", " ").split()).rstrip(": ")
    bracketed = _BRACKETS.match(whole)
    if bracketed:
        return [(bracketed["name"], bracketed["unit"].strip())]
    words = whole.replace(",", " ").split()
    found = [(whole, whole)]
    if len(words) > 1:
        found.append((" ".join(words[:-1]), words[-1]))
    if len(words) > 2 and words[-2] in understood("unit join"):
        found.append((" ".join(words[:-2]), words[-1]))
    return found


def _only_of(family: Family, written: str) -> Attribute | None:
    """The one identity attribute measured in that unit, for a column headed by a letter: "C (µF)"."""
    found = [a for a in family.attributes if a.identity and _unit(a, written)]
    return found[0] if len(found) == 1 else None


def _unit(attribute: Attribute, written: str) -> str:
    """The symbol of the unit among those words, the last first; "" when none is of the attribute's dimension."""
    if not attribute.unit:
        return ""
    for spelled in (form for word in reversed(written.split()) for form in (word, word.upper())):
        try:
            read = parse(f"1 {spelled}", unit(attribute.unit).dimension)
        except BadInput:
            continue
        if len(read) == 1:
            return read[0].unit
    return ""


_TARGET = re.compile(r"^(?P<name>\w+)(?:#(?P<variant>\d+))?(?:@(?P<qualifier>[^:]+))?(?::(?P<unit>.+))?$")


def _stated(at: int, header: str, target: str, family: Family) -> Carried | None:
    """What "current#2@AC-3@400V:A" says, None when the family has no such attribute."""
    read = _TARGET.match(target)
    if read is None:
        return None
    attribute = next((a for a in family.attributes if a.name == read["name"]), None)
    if attribute is None:
        return None
    return Carried(
        at, header, attribute, read["unit"] or "", read["qualifier"] or "", int(read["variant"] or 0), target
    )
