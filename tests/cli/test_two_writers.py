"""Two windows, one set of records: what one does rests on what it saw, and nobody's writing is lost."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from partsdb.errors import Overtaken
from partsdb.records import Delivery, Job, Machine
from partsdb.services import orders
from partsdb.store import open_store
from support import stored
from support.commands import NOW, partsdb


def meanwhile(monkeypatch: pytest.MonkeyPatch, target: str, others: list[str], db: Path) -> None:
    """Each call of that function lets another window finish the next of these lines first."""
    was = getattr(orders, target)

    def first_the_other(*given: object, **more: object) -> object:
        if others:
            ran = partsdb(others.pop(0), db)
            assert ran.code == 0, ran
        return was(*given, **more)

    monkeypatch.setattr(orders, target, first_the_other)


def all_of(kind: type, db: Path) -> tuple:
    with open_store(db, now=stored.NOW) as store:
        return store.all(kind)


def test_the_same_order_isnt_placed_by_two_windows(shop, monkeypatch):
    meanwhile(monkeypatch, "plan_job", ["order place ropes"], shop)
    ran = partsdb("order place ropes", shop)
    assert (ran.code, ran.err) == (0, "")
    ours = [(one.wanted_id, one.offer_id) for one in all_of(Delivery, shop) if one.job_id]
    assert ours
    assert sorted(set(ours)) == sorted(ours)


def test_what_another_window_writes_meanwhile_is_seen_and_kept(shop, monkeypatch):
    partsdb("order place ropes", shop)
    meanwhile(monkeypatch, "open_order", ["machine add winder", "machine add capstan"], shop)
    ran = partsdb("order news ropes contactor late --supplier Quor --day 2026-06-09", shop)
    assert (ran.code, ran.err) == (0, "")
    assert {machine.name for machine in all_of(Machine, shop)} == {"strander", "winder", "capstan"}


def test_a_window_that_is_always_overtaken_says_so_in_one_line(shop, monkeypatch):
    monkeypatch.setattr("partsdb.cli.OFTEN", 1)
    partsdb("order place ropes", shop)
    before = all_of(Delivery, shop)
    meanwhile(monkeypatch, "open_order", [f"machine add winder{i}" for i in range(20)], shop)
    ran = partsdb("order news ropes contactor late --supplier Quor --day 2026-06-09", shop)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.count("\n") == 1
    assert "Nothing was changed; look at them again and try again" in ran.err
    assert all_of(Delivery, shop) == before


def test_programs_that_add_to_one_record_at_once_lose_nothing(shop):
    code = "import sys; from partsdb.cli import main; main(sys.argv[1:])"
    line = ["--db", str(shop), "--now", NOW, "job", "way-out", "ropes"]
    more = ["--cost", "900", "--decide-by", "2026-06-05T12:00+01:00"]
    titles = {"ask a neighbour", "ring the customer", "ship half"}
    racers = [
        subprocess.Popen([sys.executable, "-c", code, *line, title, *more], stdout=subprocess.DEVNULL)
        for title in titles
    ]
    assert [racer.wait() for racer in racers] == [0, 0, 0]
    (job,) = all_of(Job, shop)
    assert {way.title for way in job.way_out} == titles


def test_a_store_is_refused_only_what_rests_on_an_older_look(tmp_path):
    with stored.opened(tmp_path) as one, stored.opened(tmp_path) as other:
        with one.undisturbed():
            one.put(Machine("a", "Strander"))
            one.put(Machine("b", "Winder"))
            other.put(Machine("c", "Capstan"))
            with pytest.raises(Overtaken):
                one.put(Machine("d", "Baler"))
            assert one.count(Machine) == 3
        one.put(Machine("d", "Baler"))
        assert other.count(Machine) == 4
