"""A job planned again: its orders are kept to, and what has changed since they were placed is said."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Any

from partsdb.records import Delivery, Job, OrderedPlan
from partsdb.store import open_store
from support import stored
from support.commands import partsdb

ORDER = "order place ropes"
LATE = "order news ropes contactor late --supplier Quor --day 2026-06-08"


def done(line: str, db: Path) -> str:
    ran = partsdb(line, db)
    assert (ran.code, ran.err) == (0, ""), ran
    return ran.out


def planned(db: Path) -> dict[str, Any]:
    made: dict[str, Any] = json.loads(done("plan ropes --runs 1000 --json", db))
    return made


def test_orders_placed_are_kept_to_and_said_to_be_on_their_way(shop: Path) -> None:
    first = planned(shop)
    assert (first["since"], first["changes"]) == (None, [])
    done(ORDER, shop)
    with open_store(shop, now=stored.NOW) as store:
        (kept,) = store.all(OrderedPlan)
        assert kept.id == store.find(Job, "ropes").id
    assert sorted(kept.options) == sorted(first["options"])
    assert kept.probability == first["probability"]
    again = planned(shop)
    assert datetime.fromisoformat(again["since"]) == datetime.fromisoformat(first["now"])
    assert sorted(again["options"]) == sorted(first["options"])
    assert any("on its way" in change for change in again["changes"])
    assert any("is spent already" in change for change in again["changes"])
    assert not any(change.startswith("now ") for change in again["changes"])


def test_a_late_order_brings_in_another_and_the_plan_says_why(shop: Path) -> None:
    done(ORDER, shop)
    done(LATE, shop)
    made = planned(shop)
    (late,) = (change for change in made["changes"] if "late, promised for" in change)
    assert "in time" in late and "0% now" in late
    (new,) = (change for change in made["changes"] if change.startswith("now order"))
    assert any(line["supplier"] in new and not line["ordered"] for line in made["lines"] if line["supplier"])
    shown = " ".join(done("plan ropes --runs 1000", shop).split())
    assert "WHAT CHANGED since the plan of Mon 1 Jun 09:40" in shown
    assert new in shown
    done(ORDER, shop)  # by the new plan, which is what the next is compared with
    changes = planned(shop)["changes"]
    assert not any(change.startswith("now ") or "being in time:" in change for change in changes)


def test_a_cancelled_order_is_said_to_be_out_and_what_is_done_instead(shop: Path) -> None:
    done(ORDER, shop)
    done("order news ropes contactor cancelled --supplier Quor", shop)
    changes = planned(shop)["changes"]
    assert "contactor repaired from Quorrowby Coil Rewinds: cancelled; it is out" in changes
    assert any(change.startswith("now order contactor repaired") for change in changes)
    done(ORDER, shop)
    assert not any("cancelled" in change for change in planned(shop)["changes"])
    with open_store(shop, now=stored.NOW) as store:
        assert len(store.all(OrderedPlan)) == 1
        assert sum(d.cancelled for d in store.all(Delivery)) == 1


def test_a_wrong_part_is_said_to_be_out(shop: Path) -> None:
    done(ORDER, shop)
    done("order news ropes contactor wrong --supplier Quor --day 2026-06-01", shop)
    assert any(
        "Quorrowby Coil Rewinds: the wrong thing came" in change for change in planned(shop)["changes"]
    )
