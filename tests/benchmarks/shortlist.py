"""Six limits over a million parts: numpy columns against the same question in SQL, in one process.

    python tests/benchmarks/shortlist.py [parts] [shelf parts]

The SQL peer is the standard library's sqlite3, in memory, with the best single index for the question. Both must
return the same rows. Then the whole way from columns to ranked verdicts, and combinations from a large shelf.
"""

from __future__ import annotations

import sqlite3
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from partsdb.equivalence import Columns, columns_of, combinations, equivalents, shortlist
from partsdb.equivalence.columns import Column
from partsdb.kit import requirement
from partsdb.model import KnownPart, Requirement
from support.toy_family import FAMILY, GRADES, jar

SEED = 20261125
E24 = (1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0,
       3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1)  # fmt: skip
SQL = """
select rowid - 1 from part where
  (charge_high is null or charge_high >= 7e-6 * (1 - 1e-9)) and (charge_low is null or charge_low <= 13e-6 * (1 + 1e-9))
  and (voltage is null or voltage >= 300 * (1 - 1e-9))
  and (grade is null or grade in ('B', 'A'))
  and (bore is null or (bore >= 0.02 * (1 - 1e-3) and bore <= 0.024 * (1 + 1e-3)))
  and (supply_low is null or supply_low <= 50 * (1 + 1e-9)) and (supply_high is null or supply_high >= 60 * (1 - 1e-9))
  and (heat is null or heat >= 343.15 * (1 - 1e-9))
"""


@dataclass(frozen=True)
class Invented:
    """Invented parts as arrays; NaN and -1 are unknown (a tenth of everything)."""

    charge: np.ndarray
    voltage: np.ndarray
    grade: np.ndarray
    bore: np.ndarray
    supply: np.ndarray
    heat: np.ndarray


def invent(size: int) -> Invented:
    """Sizes spread as real stock is: standard values, a few voltages and bores."""
    rng = np.random.default_rng(SEED)

    def some(values: np.ndarray) -> np.ndarray:
        found = rng.choice(values, size).astype(float)
        found[rng.random(size) < 0.1] = np.nan
        return found

    grade = rng.integers(0, 4, size)
    grade[rng.random(size) < 0.1] = -1
    return Invented(
        some(np.outer((1e-6, 1e-5, 1e-4), E24).ravel()),
        some(np.array([63, 100, 160, 250, 300, 370, 400, 440, 600])),
        grade,
        some(np.arange(10, 40) / 1000),
        some(np.array([50.0, 60.0, 55.0])),
        some(np.array([55.0, 70.0, 85.0]) + 273.15),
    )


def as_columns(data: Invented) -> Columns:
    """The same as `columns_of` makes from parts, without making a million parts first."""
    numbers = {"charge": data.charge, "voltage": data.voltage, "bore": data.bore, "heat": data.heat}
    of = {(name, ""): Column(x, x) for name, x in numbers.items()}
    of["supply", ""] = Column(data.supply - 5, data.supply + 5)
    bits = np.where(data.grade < 0, 0, 1 << np.maximum(data.grade, 0)).astype(np.uint64)
    of["grade", ""] = Column(codes=bits, words=GRADES)
    return Columns((), data.charge.size, of)


def as_table(data: Invented) -> sqlite3.Connection:
    """The same rows as a table with an index on what narrows most."""
    connection = sqlite3.connect(":memory:")
    connection.execute(
        "create table part (charge_low real, charge_high real, voltage real, grade text, bore real,"
        " supply_low real, supply_high real, heat real)"
    )
    words = [None if g < 0 else GRADES[g] for g in data.grade.tolist()]
    columns = [
        data.charge,
        data.charge,
        data.voltage,
        None,
        data.bore,
        data.supply - 5,
        data.supply + 5,
        data.heat,
    ]
    lists = [words if c is None else [None if x != x else x for x in c.tolist()] for c in columns]
    connection.executemany("insert into part values (?,?,?,?,?,?,?,?)", zip(*lists, strict=True))
    connection.execute("create index by_bore on part (bore, voltage)")
    connection.execute("analyze")
    return connection


def timed(what: Callable[[], object], runs: int) -> tuple[float, object]:
    """Median seconds of some runs, and the last result."""
    seconds = []
    result = None
    for _ in range(runs):
        start = time.perf_counter()
        result = what()
        seconds.append(time.perf_counter() - start)
    return float(np.median(seconds)), result


def wanted() -> list[Requirement]:
    """Six limits: within, at least, class, equal with reach, covers, at least."""
    return [requirement(FAMILY, jar(10, 300, "B", bore=0.02, supply=(50.0, 60.0), heat=343.15), {})]


def columns_against_sql(size: int) -> None:
    """Print the medians and their ratio."""
    data = invent(size)
    columns, table, want = as_columns(data), as_table(data), wanted()
    ours, rows = timed(lambda: shortlist(FAMILY, want, columns), 15)
    theirs, found = timed(lambda: [r for (r,) in table.execute(SQL)], 5)
    assert isinstance(rows, np.ndarray) and isinstance(found, list)
    assert sorted(found) == rows.tolist(), "the two disagree"
    print(f"{size:,} parts, six limits, {rows.size:,} stay")
    print(f"  numpy columns {ours * 1e3:8.1f} ms")
    print(f"  sqlite3       {theirs * 1e3:8.1f} ms   ratio {ours / theirs:.3f}")


def parts_to_verdicts(size: int) -> None:
    """Print the time from parts to columns and to 500 ranked verdicts."""
    parts = shelf(size, quantity=0)
    want = wanted()
    build, columns = timed(lambda: columns_of(FAMILY, parts), 1)
    assert isinstance(columns, Columns)
    judged, verdicts = timed(lambda: equivalents(FAMILY, want, parts, {}, columns=columns), 3)
    assert isinstance(verdicts, tuple)
    print(f"{size:,} parts to columns {build:.2f} s, {len(verdicts)} verdicts ranked {judged * 1e3:.0f} ms")


def shelf(size: int, quantity: int) -> list[KnownPart]:
    """Shelf jars in standard sizes and some voltages."""
    rng = np.random.default_rng(SEED + 1)
    charge = rng.choice(np.outer((0.1, 1.0, 10.0), E24).ravel(), size).tolist()
    volts = rng.choice([100, 160, 250, 370, 400, 440], size).tolist()
    return [
        KnownPart(
            f"p{i:06d}", jar(c, v, "B", bore=0.02), condition="new" if quantity else "", quantity=quantity
        )
        for i, (c, v) in enumerate(zip(charge, volts, strict=True))
    ]


def from_the_shelf(size: int) -> None:
    """Print the time for combinations from a large shelf: standard sizes, and every size different."""
    want = [requirement(FAMILY, jar(10, 300, "B"), {})]
    rng = np.random.default_rng(SEED + 2)
    odd = [
        KnownPart(f"p{i:06d}", jar(c, v, "B"), condition="new", quantity=1)
        for i, (c, v) in enumerate(
            zip(
                (10 ** rng.uniform(-1, 2, size)).tolist(),
                rng.choice([160, 250, 370, 440], size).tolist(),
                strict=True,
            )
        )
    ]
    for name, parts in (("standard sizes", shelf(size, 2)), ("all different", odd)):
        seconds, found = timed(partial(combinations, FAMILY, want, parts, {}, even_if_one_does=True), 3)
        assert isinstance(found, tuple)
        print(f"combinations from {size:,} shelf parts, {name}: {seconds:.2f} s, best: {found[0].title}")


if __name__ == "__main__":
    sizes = [int(x) for x in sys.argv[1:]]
    columns_against_sql(sizes[0] if sizes else 1_000_000)
    parts_to_verdicts(20_000)
    from_the_shelf(sizes[1] if len(sizes) > 1 else 10_000)
