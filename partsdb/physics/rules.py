"""Rules that are a number: each row of a `..._rules` table, with where it comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from partsdb.quantities import show, to_si
from partsdb.source import Source
from partsdb.tables import Table, load


@dataclass(frozen=True, slots=True)
class Rule:
    """A number that decides something [SI, or as its name says], with where it comes from."""

    value: float
    source: Source
    unit: str = ""

    @property
    def said(self) -> str:
        """The value in words: "110 °C", "30 %"."""
        return show(self.value, self.unit)


@cache
def rules(table: str, package: str = "partsdb.tables") -> Mapping[str, Rule]:
    """The rules of a table (a shared one, or of a family's package) by name.

    Columns: rule, value, optionally unit; citation, or why (then the table's own citation stands behind it);
    status where it differs from the table's.

    >>> rules("rules", "partsdb.families.ac_capacitor")["residual_voltage"].value
    50.0
    """
    found = load(table, package)
    return {row["rule"]: _rule(found, row) for row in found.rows}


def _rule(table: Table, row: Mapping[str, str]) -> Rule:
    unit = row.get("unit") or ""
    return Rule(to_si(float(row["value"]), unit), _source(table, row), unit)


def _source(table: Table, row: Mapping[str, str]) -> Source:
    citation = row.get("citation") or f"{row['why']} ({table.source.citation})"
    return Source(citation, table.source_of(row).status)
