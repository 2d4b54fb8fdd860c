"""Two sources that disagree: both kept, side by side, settled by a person or a stated rule, else unknown."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from partsdb.disagreement import agreed, disagreements
from partsdb.model import Spec, Value
from partsdb.records import Part, Settlement
from partsdb.source import Source
from partsdb.store import About
from partsdb.validity import believed_stock, is_stale
from support import stored


def part(id: str, volts: float, citation: str, status: str = "stated", confidence: float = 1.0) -> Part:
    """One source's word on the same part."""
    source = Source(citation, status)  # type: ignore[arg-type]  # a word of Status
    values = (
        Value("capacitance", 25e-6, 25e-6, source=source),
        Value("voltage_ac", volts, volts, source=source, confidence=confidence),
    )
    spelled = "ZQ 25-440" if id == "a" else "zq25440"
    return Part(id, "ac_capacitor", Spec("ac_capacitor", values), spelled, "Tarnwick (invented)")


ONE, OTHER = part("a", 440.0, "one.csv:2"), part("b", 400.0, "other.csv:7")


def test_what_sources_agree_about_is_no_disagreement() -> None:
    assert disagreements([ONE, part("b", 440.0 * (1 + 1e-9), "other.csv:7")]) == ()
    assert disagreements([ONE]) == ()
    assert disagreements([ONE, replace(OTHER, maker="Trelvanik (invented)")]) == ()
    assert disagreements([replace(ONE, designation=""), replace(OTHER, designation="")]) == ()


def test_what_they_disagree_about_stands_side_by_side() -> None:
    (found,) = disagreements([ONE, OTHER])
    assert found.attribute == "voltage_ac"
    assert [(c.part_id, c.value.low, c.value.source.citation) for c in found.claims] == [
        ("a", 440.0, "one.csv:2"),
        ("b", 400.0, "other.csv:7"),
    ]
    assert found.settled is None


def test_what_is_open_counts_as_unknown() -> None:
    believed = agreed([ONE, OTHER], disagreements([ONE, OTHER]))
    assert believed.num("capacitance") == 25e-6
    assert not believed.has("voltage_ac")


def test_a_person_settles_it() -> None:
    word = Settlement(
        "1",
        "tarnwick (invented)",
        "ZQ-25440",
        "voltage_ac",
        "",
        0,
        "other.csv:7",
        "Ann",
        "rang the maker",
        stored.NOW,
    )
    (found,) = disagreements([ONE, OTHER], [word], rules=["measured"])
    assert found.settled is not None
    assert (found.settled.part_id, found.by, found.why) == ("b", "Ann", "rang the maker")
    assert agreed([ONE, OTHER], [found]).num("voltage_ac") == 400.0
    (gone,) = disagreements([ONE, OTHER], [replace(word, source="a list that is no longer there")])
    assert gone.settled is None


@pytest.mark.parametrize(("rule", "believed"), [("measured", 420.0), ("surest", 440.0)])
def test_a_rule_settles_it_and_says_what_it_is(rule: str, believed: float) -> None:
    measured = part("b", 420.0, "measured with meter", "measured", confidence=0.9)
    (found,) = disagreements([ONE, measured], rules=[rule])
    assert found.settled is not None
    assert found.settled.value.low == believed
    assert found.by == f"rule {rule!r}"
    assert "believed" in found.why


def test_a_rule_that_doesnt_tell_leaves_it_open() -> None:
    (found,) = disagreements([ONE, OTHER], rules=["measured", "surest"])
    assert found.settled is None


def test_both_sources_stay_in_the_records_with_file_row_date_and_importer(tmp_path: Path) -> None:
    with stored.opened(tmp_path) as store:
        store.bring([(2, ONE)], About("one", "d1", "delimited", stored.NOW))
        later = stored.NOW + timedelta(days=3)
        store.bring([(7, OTHER)], About("other", "d2", "spreadsheet", later))
        assert len(disagreements(store.all(Part))) == 1
        found = [store.provenance(Part, id) for id in ("a", "b")]
        assert [(p.source, p.row, p.importer, p.at) for p in found if p] == [
            ("one", 2, "delimited", stored.NOW),
            ("other", 7, "spreadsheet", later),
        ]


@pytest.mark.parametrize(("age", "stale"), [(29, False), (30, False), (31, True)])
def test_an_offer_is_stale_after_its_days_and_its_stock_no_longer_counts(age: int, stale: bool) -> None:
    offer = replace(stored.plain_offer(), stock_units=3)
    assert offer.quoted_on is not None
    today = offer.quoted_on + timedelta(days=age)
    assert is_stale(offer, today, 30) is stale
    assert (believed_stock(offer, today, 30) != offer) is stale
    believed = believed_stock(offer, offer.quoted_on + timedelta(days=999), 30)
    assert (believed.stock, believed.stock_units, believed.price) == ("not stated", None, offer.price)


def test_an_offer_without_a_date_is_stale_and_what_is_put_by_stays_put_by() -> None:
    offer = replace(stored.plain_offer(), quoted_on=None)
    assert is_stale(offer, stored.NOW.date())
    held = replace(offer, stock="put by")
    assert believed_stock(held, stored.NOW.date()) == held


def test_what_the_server_said_of_a_list_is_kept(tmp_path: Path) -> None:
    with stored.opened(tmp_path) as store:
        assert store.fetched("https://a.example/l") == ("", "")
        store.note_fetched("https://a.example/l", '"v1"', "", stored.NOW)
        store.note_fetched("https://a.example/l", '"v2"', "Wed", stored.NOW)
        assert store.fetched("https://a.example/l") == ('"v2"', "Wed")
