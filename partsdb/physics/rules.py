"""Rules that are a number: each row of a `..._rules` table, with where it comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from partsdb.quantities import to_si
from partsdb.source import Source
from partsdb.tables import Table, load


@dataclass(frozen=True, slots=True)
class Rule:
    """A number that decides something [SI, or as its name says], with where it comes from."""

    value: float
    source: Source


@cache
def rules(table: str) -> Mapping[str, Rule]:
    """The rules of a table by name. Columns: rule, value, optionally unit; citation, or why (then the table's
    own citation stands behind it); status where it differs from the table's.

    >>> rules("capacitor_rules")["residual_voltage"].value
    50.0
    """
    found = load(table)
    return {
        row["rule"]: Rule(to_si(float(row["value"]), row.get("unit") or ""), _source(found, row))
        for row in found.rows
    }


def _source(table: Table, row: Mapping[str, str]) -> Source:
    citation = row.get("citation") or f"{row['why']} ({table.source.citation})"
    return Source(citation, table.source_of(row).status)
