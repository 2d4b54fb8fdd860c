"""Shaft seals held against texts from outside the project; the source stands beside each check."""

from __future__ import annotations

from math import pi

import pytest

from partsdb.families.shaft_seal import figures as seals
from partsdb.families.shaft_seal.figures import MICRON, MM
from partsdb.tables import load

SIZES = load("sizes", "partsdb.families.shaft_seal")


@pytest.mark.parametrize(
    ("shaft", "h11"), [(8, 90), (15, 110), (25, 130), (30, 130), (40, 160), (60, 190), (100, 220), (150, 250)]
)
def test_shaft_tolerance_h11_agrees_with_a_published_table(shaft: float, h11: float) -> None:
    # wtk-sealing.com, Technical Info 20, table 2 (0 to -130 µm for 18 to 30 mm)
    found = seals.fit(shaft * MM)
    assert found is not None
    assert found.h11 / MICRON == pytest.approx(h11)


@pytest.mark.parametrize(
    ("bore", "h8"), [(8, 22), (15, 27), (25, 33), (47, 39), (52, 46), (90, 54), (150, 63), (200, 72)]
)
def test_housing_tolerance_h8_agrees_with_two_published_tables(bore: float, h8: float) -> None:
    # wtk-sealing.com table 4 and sealanddesign.com/page/oil-seals (+0.022 for 6 to 10 mm)
    found = seals.fit(bore * MM)
    assert found is not None
    assert found.h8 / MICRON == pytest.approx(h8)


@pytest.mark.parametrize(
    ("bore", "metal", "rubber"),
    [
        (40, (0.10, 0.20), (0.15, 0.30)),
        (62, (0.13, 0.23), (0.20, 0.35)),
        (100, (0.15, 0.25), (0.20, 0.35)),
    ],
)
def test_press_fits_agree_with_two_published_tables(
    bore: float, metal: tuple[float, float], rubber: tuple[float, float]
) -> None:
    # sealanddesign.com/page/oil-seals and oil-seal.telecomnet.com.tw: press-fit allowance by bore diameter
    found = seals.fit(bore * MM)
    assert found is not None
    assert (found.metal[0] / MM, found.metal[1] / MM) == pytest.approx(metal)
    assert (found.rubber[0] / MM, found.rubber[1] / MM) == pytest.approx(rubber)


@pytest.mark.parametrize("size", [(20, 35, 7), (45, 72, 8), (40, 62, 10), (30, 52, 10)])
def test_worked_designations_are_in_the_table(size: tuple[float, float, float]) -> None:
    # zvswvs.com (20 35 7), studylib.net/doc/25374861 (45-72-8, by DIN 3760), suptex.com (40 x 62 x 10, 30-52-10)
    known = {
        tuple(float(row[column]) for column in ("shaft", "bore", "width")): row
        for row in SIZES.rows
        if row["unit"] == "mm"
    }
    assert size in known
    assert SIZES.source_of(known[size]).status == "verified"


def test_only_those_rows_are_called_verified() -> None:
    verified = [r for r in SIZES.rows if r["status"] == "verified"]
    assert len(verified) == 4


@pytest.mark.parametrize("shaft", [32, 35, 38, 40])
def test_shafts_of_32_to_40_mm_come_7_and_8_mm_wide(shaft: float) -> None:
    # DIN 3760:1996, foreword: a nominal width of 8 mm has been introduced for shafts of 32, 35, 38 and 40 mm
    widths = {float(r["width"]) for r in SIZES.rows if r["unit"] == "mm" and float(r["shaft"]) == shaft}
    assert {7, 8} <= widths


@pytest.mark.parametrize(("material", "years"), [("NBR", 7), ("ACM", 7), ("VMQ", 10), ("FKM", 10)])
def test_shelf_lives_agree_with_a_text_on_bs_3574(material: str, years: float) -> None:
    # miningzy.com 4/691, quoting BS 3574 (1989): group B rubbers 7 years, group C 10 years
    assert seals.materials()[material].shelf_years == years


@pytest.mark.parametrize(("speed", "bar"), [(1.0, 0.5), (5.0, 0.5), (5.1, 0.2), (None, 0.2)])
def test_pressure_of_a_standard_lip_agrees_with_two_pages(speed: float | None, bar: float) -> None:
    # ddsseals.com/permissible-shaft-pressure: 0.2 bar at higher, 0.5 bar at low speeds; miningzy.com: up to 0.5 bar
    assert seals.plain_pressure(speed) / 1e5 == pytest.approx(bar)


def test_lip_speed_is_pi_d_n() -> None:
    # derived: 50 mm at 3000 rpm
    assert seals.lip_speed(0.050, 3000 * 2 * pi / 60) == pytest.approx(pi * 0.050 * 50)


def test_materials_nobody_has_seen_in_print_say_so() -> None:
    assert all(m.source.status == "from memory" for m in seals.materials().values())
