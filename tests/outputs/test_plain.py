"""Results as JSON-ready data."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from decimal import Decimal

from partsdb.intervals import Interval
from partsdb.model import Limit, Spec, number
from partsdb.money import Money
from partsdb.outputs.plain import plain
from partsdb.source import PRACTICE


def test_a_limit_keeps_its_interval_and_source():
    limit = Limit(
        "voltage_ac", "at least", Interval(440.0, None), "safety", "plate", PRACTICE, "it breaks down"
    )
    data = plain(limit)
    assert data["accept"] == {"low": 440.0, "high": None}
    assert data["source"] == {"citation": "common practice", "status": "common practice"}


def test_money_and_times_are_texts_that_lose_nothing():
    data = plain(
        {"price": Money(123_400, "EUR"), "at": datetime(2026, 6, 1, 9, tzinfo=UTC), "on": date(2026, 6, 1)}
    )
    assert data == {"price": "12.34 EUR", "at": "2026-06-01T09:00:00+00:00", "on": "2026-06-01"}
    assert plain(Decimal("0.10")) == "0.10"


def test_what_json_does_not_know_becomes_null_or_text():
    data = plain((float("nan"), float("inf"), {1.0}, Spec("x", (number("a", 2.0),))))
    assert data[0] is None
    assert data[1] is None
    assert json.loads(json.dumps(data))[3]["values"][0]["low"] == 2.0
