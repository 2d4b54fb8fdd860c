"""What can't be is refused in one line with exit code 2, and nothing is changed by it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from pathlib import Path

import pytest

from partsdb.money import money
from partsdb.records import Shop
from partsdb.store import open_store
from support.commands import NOW, partsdb

DUE = "2026-06-10T16:00+01:00"


@pytest.mark.parametrize(
    "line",
    [
        'shop set S --supply "0 V"',
        "shop set S --hertz 0",
        "shop set S --phases 7",
        "shop set S --country Narnia",
        "shop set S --currency pounds",
        "shop set ''",
        "shop set S --labour=-5",
        "shop set S --rate EUR=nan",
        "shop set S --rate EUR=inf",
        "shop set S --rate EUR=0",
        "shop set S --rate EUR=-1",
        "shop set S --rate EUR=1e400",
        "shop set S --rate =0.5",
        "machine add ''",
        "machine add ' '",
        f"machine add {'x' * 81}",
        "machine add mill --year -5",
        "machine add mill --year 99999",
        "position add strander ' ' --kind bearing",
        "position add strander 'RUN CAPACITOR' --kind capacitor",
        f"job add '' strander --due {DUE}",
        f"job add long strander --due {DUE} --run-hours inf",
        f"job add paid strander --due {DUE} --late-day=-5",
        f"job add paid strander --due {DUE} --lost-order nan",
        "job add never strander --due 9999-12-31T23:59+00:00",
        "job add ever strander --due 0001-01-01T00:00+00:00",
        f"job add ROPES strander --due {DUE}",
        'shelf add "20 µF 450 V AC run" --kind capacitor --quantity 99999999999999999999',
        'equivalents "25 MFD" -d belt_count=-3',
        'equivalents "25 MFD" -d belt_count=2.5',
        'equivalents "25 MFD" -d hours_per_day=99',
        'equivalents "25 MFD" -d inching_share=7',
        'equivalents "25 MFD" -d "ambient=99999 °C"',
    ],
)
def test_what_cannot_be_is_refused_in_one_line(line: str, shop: Path):
    before = shop.read_bytes()
    ran = partsdb(line, shop)
    assert ran.code == 2
    assert ran.out == ""
    assert ran.err.count("\n") == 1
    assert shop.read_bytes() == before


def test_setting_one_thing_of_the_shop_leaves_the_rest_as_it_was(shop: Path):
    before = _shop(shop)
    assert partsdb("shop set --rate JPY=0.0052", shop).code == 0
    after = _shop(shop)
    assert after == replace(before, rates={**before.rates, "JPY": Decimal("0.0052")})
    assert before.rates and before.supply_voltage and before.name == "Ropewalk"


def test_other_hours_change_the_working_days_and_goods_in_with_them(shop: Path):
    before = _shop(shop)
    assert partsdb('shop set --hours "mon-sat 07:00-15:00"', shop).code == 0
    after = _shop(shop)
    assert after.calendar.weekdays == (0, 1, 2, 3, 4, 5)
    assert after.goods_in == after.hours != before.hours
    assert (after.rates, after.calendar.region) == (before.rates, before.calendar.region)


def test_in_another_currency_the_old_rates_are_forgotten(shop: Path):
    assert partsdb("shop set --currency EUR", shop).code == 0
    assert _shop(shop).rates == {}
    assert _shop(shop).labour_hour == money("0", "EUR")


def _shop(db: Path) -> Shop:
    with open_store(db, now=datetime.fromisoformat(NOW)) as store:
        found = store.shop()
    assert found is not None
    return found


def test_no_text_on_record_can_rewrite_the_screen(shop: Path):
    ran = partsdb(["machine", "add", "red\x1b[31m\x07mill"], shop)
    assert "\x1b" not in ran.out
    assert "\x07" not in ran.out
    assert "\x1b" not in partsdb("machine list", shop).out


@pytest.mark.parametrize("hours", ["0", "24"])
def test_a_day_has_from_none_to_24_running_hours(hours: str, shop: Path):
    assert partsdb(f'equivalents "25 MFD" "440 VAC" -d hours_per_day={hours}', shop).code == 0


def test_a_duty_on_a_position_is_listed_with_its_unit(shop: Path):
    assert partsdb('position add strander "end bearing" -k bearing -d "shaft_speed=1450 rpm"', shop).code == 0
    assert "shaft speed: 1450 rpm" in partsdb("position list strander", shop).out


def test_a_measurement_alone_is_enough_to_go_on(tmp_path: Path):
    ran = partsdb(
        'identify -m "bore 30 mm" -m "outside 62 mm" -m "width 16 mm" -k bearing', tmp_path / "new.db"
    )
    assert ran.code == 0, ran.err
    assert "30 × 62 × 16 mm" in ran.out


@pytest.mark.parametrize("mark", ["B65", "BX65", "A42", "6206", "40x62x8"])
def test_a_short_mark_in_full_says_what_a_shelf_part_is(mark: str, tmp_path: Path):
    kind = {"6": "bearing", "4": "seal"}.get(mark[0], "belt")
    ran = partsdb(f"shelf add {mark} --kind {kind}", tmp_path / "new.db")
    assert ran.code == 0, ran.err
    assert mark.split("x")[0] in ran.out


@pytest.mark.parametrize(
    ("mark", "kind"), [("B6?", "belt"), ("620?", "bearing"), ("2? µF 440 V", "capacitor")]
)
def test_a_mark_with_two_readings_does_not_say_what_a_shelf_part_is(mark: str, kind: str, tmp_path: Path):
    ran = partsdb(["shelf", "add", mark, "--kind", kind], tmp_path / "new.db")
    assert ran.code == 2
    assert "doesn't say surely" in ran.err
