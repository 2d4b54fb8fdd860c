"""Attributes and fields from a family's file: units, codes from tables, rows, and the same field once for each."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest

from partsdb.family import Field, Row
from partsdb.kit import data
from partsdb.physics.rules import rules
from partsdb.source import PRACTICE, Source
from partsdb.tables import Table

VALUES = Table(
    "values",
    (
        {"what": "power", "value": "5", "unit": "hp", "weight": "2", "first": "1920", "last": "1954"},
        {"what": "power", "value": "3.7", "unit": "kW", "weight": "0", "first": "1950", "last": "2100"},
        {"what": "volts", "value": "220-240", "unit": "V", "weight": "1", "first": "1950", "last": "2100"},
    ),
    Source("made up", "judgement"),
    "",
)
WORDS = Table(
    "words",
    (
        {"attribute": "seal", "code": "none", "title": "open", "spellings": ""},
        {"attribute": "seal", "code": "both", "title": "sealed", "spellings": "2RS|LLU"},
        {"attribute": "cage", "code": "steel", "title": "steel", "spellings": ""},
    ),
    Source("made up", "judgement"),
    "",
)


def table(name: str) -> Table:
    return {"values": VALUES, "words": WORDS}[name]


def fields(text: str) -> tuple[Field, ...]:
    said = tomllib.loads(text)
    return data.fields(said, data.attributes(said, table), table, {})


HEAD = """
[attribute.power]
title = "power"
unit = "kW"
silence = { taken = 2, source = "a guess (judgement)", weight = "function", why = "it stalls" }
[attribute.seal]
title = "seal"
codes = { table = "words" }
ladder = true
silence = { asked = "function", why = "it leaks" }
"""


def test_numbers_of_a_file_are_in_the_attributes_unit() -> None:
    power, seal = data.attributes(tomllib.loads(HEAD), table)
    assert power.silence is not None and power.silence.value == 2000.0
    assert (seal.codes, seal.spellings) == ({"none": "open", "both": "sealed"}, {"both": ("2RS", "LLU")})
    assert seal.ladder == ("none", "both")


def test_rows_of_a_table_take_its_unit_weight_and_years_and_leave_out_what_weighs_nothing() -> None:
    (field,) = fields(
        HEAD
        + """
[field.power]
writings = ["{power:hp} HP"]
[field.power.rows]
table = "values"
where = { what = "power" }
columns = ["value"]
weight = "weight"
unit = "unit"
years = ["first", "last"]
"""
    )
    (row,) = field.rows
    assert row.values == (pytest.approx(3728.5, abs=0.1),)
    assert (row.weight, row.years) == (2.0, (1920, 1954))


def test_listed_rows_may_be_ranges_codes_nothing_and_weighed() -> None:
    power, seal = fields(
        HEAD
        + """
[field.power]
rows = [1, [2, 5], "3-4"]
writings = ["{power:kW} KW", ["KW {power:kW}", -0.5]]
absent = 0.4
off_grid = -3.0
[field.seal]
rows = ["both"]
writings = ["{seal}"]
default = ["none"]
"""
    )
    assert [(r.values, r.weight) for r in power.rows] == [
        ((1000.0,), 1.0),
        ((2000.0,), 5.0),
        (((3000.0, 4000.0),), 1.0),
    ]
    assert [(w.template, w.logp) for w in power.writings] == [("{power:kW} KW", 0.0), ("KW {power:kW}", -0.5)]
    assert (power.p_absent, power.off_grid, seal.default) == (0.4, -3.0, ("none",))


def test_a_field_for_each_has_its_values_everywhere() -> None:
    first, second = fields(
        HEAD
        + """
[field."power <at>"]
each = [{ at = 50, absent = 0.1 }, { at = 60, absent = 0.9 }]
attributes = ["power@<at>Hz"]
rows = [1]
writings = ["{power@<at>Hz:kW} KW <at> HZ"]
absent = "<absent>"
"""
    )
    assert (first.name, first.attributes, first.p_absent) == ("power 50", ("power@50Hz",), 0.1)
    assert second.writings[0].template == "{power@60Hz:kW} KW 60 HZ"
    assert second.p_absent == 0.9


def test_numbers_that_agree_cost_nothing_and_others_no_more_than_the_worst() -> None:
    (found,) = data.agreements(
        tomllib.loads("""
[[agreement]]
of = { volts = 1, amperes = 1, power = -1 }
about = 1.0
within = 0.1
worst = -8.0
""")
    )
    assert found.attributes == ("volts", "amperes", "power")
    assert float(found.log_factor(230.0, 10.0, 2300.0)) == pytest.approx(0.0)
    assert float(found.log_factor(230.0, 11.0, 2300.0)) == pytest.approx(-0.454, abs=1e-3)
    assert float(found.log_factor(230.0, 100.0, 2300.0)) == -8.0
    assert float(found.log_factor(230.0, float("nan"), 2300.0)) == 0.0


def test_numbers_within_the_free_band_cost_nothing_and_beyond_it_what_lies_beyond() -> None:
    (found,) = data.agreements(
        {"agreement": [{"of": {"a": 1, "b": -1}, "about": 1, "within": 0.1, "free": 2}]}
    )
    costs = [float(found.log_factor(np.exp(off), 1.0)) for off in (0.0, 0.19, 0.21, 0.3, 9.0)]
    assert costs == pytest.approx([0.0, 0.0, -0.205, -2.5, -6.0])


def test_two_numbers_that_seldom_stand_on_one_plate_cost_where_both_are_there() -> None:
    (found,) = data.seldom({"seldom": [{"of": {"power": True, "power#1": True}, "penalty": -8}]}, ())
    one, other = np.array([1.0, 1.0, np.nan, np.nan]), np.array([2.0, np.nan, 2.0, np.nan])
    assert found.log_factor(one, other).tolist() == [-8.0, 0.0, 0.0, 0.0]


def test_words_that_are_seldom_made_together_cost_where_both_stand_there() -> None:
    both = """
[[seldom]]
of = { seal = ["both"], cage = ["steel", "brass"] }
penalty = -4
source = "a guess (judgement)"
"""
    head = HEAD + '[attribute.cage]\ntitle = "cage"\ncodes = ["steel", "brass", "none"]\n'
    known = data.attributes(tomllib.loads(head), table)
    (found,) = data.seldom(tomllib.loads(both), known)
    assert found.attributes == ("seal", "cage") and found.source == Source("a guess", "judgement")
    seals = np.array(["both", "both", "both", "none", None], dtype=object)
    cages = np.array(["steel", "none", None, "steel", "steel"], dtype=object)
    assert found.log_factor(seals, cages).tolist() == [-4.0, 0.0, 0.0, 0.0, 0.0]
    with pytest.raises(ValueError, match="cage has no word tin"):
        data.seldom(tomllib.loads(both.replace("brass", "tin")), known)


def test_a_field_may_leave_its_rows_to_python_and_keeps_its_place() -> None:
    said = tomllib.loads(
        HEAD
        + '[field.power]\nrows = "computed"\nwritings = ["{power} KW"]\n[field.seal]\nrows = ["both"]\nwritings = []'
    )
    rows = [Row((1500.0,), 2.0)]
    power, seal = data.fields(said, data.attributes(said, table), table, {"power": rows})
    assert (power.name, power.rows, seal.name) == ("power", tuple(rows), "seal")
    with pytest.raises(KeyError):
        data.fields(said, data.attributes(said, table), table)


def test_duty_terms_of_a_familys_own_and_those_it_needs() -> None:
    said = tomllib.loads("""
[needs.depth]
weight = "safety"
why = "it runs aground"
[term.depth]
title = "depth of the water"
unit = "m"
most = 10
question = "How deep is it?"
""")
    (need,), (term,) = data.needs(said), data.terms(said)
    assert (need.term, need.weight) == ("depth", "safety")
    assert (term.title, term.unit, term.least, term.most) == ("depth of the water", "m", 0.0, 10)


def test_a_table_of_sizes_takes_in_its_upper_end_and_not_its_lower() -> None:
    rows = tuple({"over_mm": low, "up_to_mm": high} for low, high in (("10", "18"), ("18", "30")))
    sizes = Table("sizes", rows, PRACTICE, "")
    found = {
        size: [row["up_to_mm"] for row in sizes.spanning(size / 1000)]
        for size in (10, 10.1, 18, 18.1, 30, 31)
    }
    assert found == {10: [], 10.1: ["18"], 18: ["18"], 18.1: ["30"], 30: ["30"], 31: []}


def test_a_rule_says_its_number_in_its_own_unit() -> None:
    told = rules("rules", "partsdb.families.rolling_bearing")
    assert [told[name].said for name in ("polyamide_hot", "grease_least", "settles")] == [
        "100 °C",
        "30 %",
        "2 h",
    ]
