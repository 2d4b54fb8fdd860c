"""Rolling bearings held against texts and data from outside the project; the source stands beside each check."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import pytest

from partsdb.families.rolling_bearing import designations
from partsdb.families.rolling_bearing import figures as bearings
from partsdb.families.rolling_bearing.designations import MM
from partsdb.families.rolling_bearing.figures import MICRON
from partsdb.tables import load

RPM = 2 * pi / 60

# d, D, B in mm, transcribed from the open package bd_warehouse 0.4.0 (Apache-2.0), data/single_row_*.csv
DEEP_GROOVE = (
    "4,12,4 6,19,6 7,19,6 7,22,7 8,22,7 8,24,8 9,24,7 9,26,8 10,26,8 10,30,9 10,35,11 "  # 60, 62 and 63
    "4,9,2.5 5,11,3 6,13,3.5 7,14,3.5 8,16,4 9,17,4 10,19,5 "  # 618
    "4,11,4 5,13,4 6,15,5 7,17,5 8,19,6 9,20,6 10,22,6"  # 619
)
ANGULAR_CONTACT = "10,30,9 12,32,10 12,37,12 15,35,11 15,42,13 17,40,12 17,47,14 20,52,15 25,62,17"
CYLINDRICAL = "15,35,11 17,40,12 17,40,16 17,47,14 20,47,14 20,47,18 20,52,15 20,52,21 25,52,15"
TAPER = (
    "15,42,14.25 17,40,13.25 17,47,15.25 17,47,20.25 20,42,15 20,47,15.25 20,52,16.25 20,52,22.25 25,47,15 "
    "25,52,16.25 25,52,19.25 25,62,18.25 25,62,25.25 30,55,17 30,62,17.25 30,62,21.25 30,72,20.75 30,72,28.75"
)


@pytest.mark.parametrize(
    ("type_", "text"),
    [
        ("deep groove ball", DEEP_GROOVE),
        ("angular contact ball", ANGULAR_CONTACT),
        ("cylindrical roller NU", CYLINDRICAL),
        ("taper roller", TAPER),
    ],
)
def test_boundary_dimensions_agree_with_the_open_package_bd_warehouse(type_: str, text: str) -> None:
    ours = {
        (round(s.bore / MM, 3), round(s.outside / MM, 3), round(s.width / MM, 3))
        for s in designations.sizes()
        if s.type == type_
    }
    for item in text.split():
        d, outside, width = (float(x) for x in item.split(","))
        assert (d, outside, width) in ours, item


def test_rows_called_verified_are_among_those_of_bd_warehouse() -> None:
    texts = (DEEP_GROOVE, ANGULAR_CONTACT, CYLINDRICAL, TAPER)
    seen = {tuple(float(x) for x in item.split(",")) for text in texts for item in text.split()}
    # rows of the same files that belong to no check above: miniature sizes, /22 /28 /32 tapers, capped deep groove
    seen |= {(3, 10, 4), (4, 13, 5), (4, 16, 5), (5, 16, 5), (5, 19, 6)}
    seen |= {(22, 44, 15), (28, 52, 16), (32, 58, 17)}
    for row in load("dimensions", designations.__package__).rows:
        if row["status"] == "verified":
            size = tuple(float(row[c]) for c in ("bore_mm", "outside_mm", "width_mm"))
            assert size in seen, row


def test_bore_codes_from_04_on_are_fifths_of_the_bore_in_millimetres() -> None:
    # DIN 623-1: 00 10, 01 12, 02 15, 03 17 mm, then times five (held for every row of bd_warehouse)
    special = {"00": 10, "01": 12, "02": 15, "03": 17}
    for size in designations.sizes():
        if len(size.bore_code) == 2 and size.bore_code.isdigit() and size.series not in ("16", "RLS", "RMS"):
            wanted = special.get(size.bore_code, 5 * int(size.bore_code))
            assert size.bore / MM == pytest.approx(wanted), size


@pytest.mark.parametrize(
    ("series", "code", "size"),
    [
        ("60", "06", (30, 55, 13)),
        ("62", "08", (40, 80, 18)),
        ("63", "10", (50, 110, 27)),
        ("64", "12", (60, 150, 35)),
        ("619", "16", (80, 110, 16)),
        ("12", "11", (55, 100, 21)),
        ("13", "20", (100, 215, 47)),
        ("22", "10", (50, 90, 23)),
        ("23", "11", (55, 120, 43)),
        ("222", "18", (90, 160, 40)),
        ("223", "12", (60, 130, 46)),
        ("320", "15", (75, 115, 25)),
        ("322", "09", (45, 85, 24.75)),
        ("511", "20", (100, 135, 25)),
        ("512", "20", (100, 150, 38)),
        ("513", "16", (80, 140, 44)),
    ],
)
def test_sizes_agree_with_a_stockists_open_list(series: str, code: str, size: tuple[float, ...]) -> None:
    # github.com/Olegche1977/vinpidshypnik011023, src/constant_bearings.jsx (a bearing shop's list, read 2026-11)
    found = designations.size_of(series, code)
    assert found is not None
    assert (found.bore / MM, found.outside / MM, found.width / MM) == pytest.approx(size)


def test_taper_sizes_agree_with_a_scanned_handbook_table() -> None:
    # zanotowane.pl/1106/3332, "Tapered Roller Bearings, Metric Series, Bore Diameter 15-35 mm" (D and T columns)
    printed: dict[str, dict[str, tuple[float, float]]] = {
        "302": {"02": (35, 11.75), "05": (52, 16.25), "07": (72, 18.25)},
        "303": {"02": (42, 14.25), "05": (62, 18.25), "07": (80, 22.75)},
        "320": {"04": (42, 15), "06": (55, 17), "07": (62, 18)},
        "322": {"03": (40, 17.25), "06": (62, 21.25), "07": (72, 24.25)},
        "323": {"04": (52, 22.25), "06": (72, 28.75), "07": (80, 32.75)},
    }
    for series, rows in printed.items():
        for code, (outside, width) in rows.items():
            found = designations.size_of(series, code)
            assert found is not None
            assert (found.outside / MM, found.width / MM) == pytest.approx((outside, width)), (series, code)


def test_a_stockists_misprints_are_not_ours() -> None:
    # the same list prints 51111 as 50x70x14 (that is 51110) and 61803 as 10x20x10: one page is never the oracle
    assert designations.size_of("511", "11").bore / MM == pytest.approx(55)  # type: ignore[union-attr]  # it is there
    assert designations.size_of("618", "03").bore / MM == pytest.approx(17)  # type: ignore[union-attr]  # it is there


def test_inch_sizes_agree_with_a_published_table() -> None:
    # scribd.com/document/99997870, "Inch Size, 1600 Series": 1641 is 1 x 2 x 9/16 in, 1630 3/4 x 1-5/8 x 1/2 in
    for code, size in {
        "41": (25.4, 50.8, 14.2875),
        "30": (19.05, 41.275, 12.7),
        "16": (12.7, 28.575, 9.525),
    }.items():
        found = designations.size_of("16", code)
        assert found is not None
        assert (found.bore / MM, found.outside / MM, found.width / MM) == pytest.approx(size, abs=1e-3)


@pytest.mark.parametrize(
    ("rating", "load", "exponent", "million"),
    [
        (30e3, 5e3, 3, 216.0),  # machinecalcs.com, worked example
        (30e3, 5e3, 10 / 3, 392.5),  # the same for rollers
        (16e3, 2e3, 3, 512.0),  # sarthaks.com 2642436
    ],
)
def test_rating_life_agrees_with_published_examples(
    rating: float, load: float, exponent: float, million: float
) -> None:
    assert bearings.rating_life(rating, load, exponent) == pytest.approx(million, rel=1e-3)


def test_a_page_that_rounds_four_to_the_ten_thirds_to_91_is_wrong() -> None:
    assert bearings.rating_life(4.0, 1.0, 10 / 3) == pytest.approx(101.59, rel=1e-4)  # derived


def test_216_million_turns_at_1500_rpm_are_2400_hours() -> None:
    # bearing-analysis.info: L10h = 10^6/(60 n)·L10
    assert bearings.life_hours(30e3, 5e3, 3, 1500 * RPM) == pytest.approx(2400)
    assert bearings.rating_needed(5e3, 2400, 1500 * RPM, 3) == pytest.approx(30e3)


@pytest.mark.parametrize(
    ("bore", "class_", "band"),
    [
        (0.020, "CN", (5, 20)),
        (0.020, "C3", (13, 28)),
        (0.020, "C4", (20, 36)),
        (0.018, "CN", (3, 18)),
        (0.018, "C3", (11, 25)),
        (0.030, "C3", (13, 28)),
        (0.040, "CN", (6, 20)),
        (0.040, "C3", (15, 33)),
        (0.050, "C2", (1, 11)),
        (0.080, "C5", (65, 105)),
    ],
)
def test_ball_clearance_agrees_with_two_reproductions_of_iso_5753(
    bore: float, class_: str, band: tuple[int, int]
) -> None:
    # two makers' pages agree on these; one of them prints CN of 18-24 mm as "20 5" and its C3 as 13-25
    found = bearings.clearance_band("deep groove ball", bore, class_)
    assert found is not None
    assert (found[0] / MICRON, found[1] / MICRON) == pytest.approx(band)
    assert found[2].status == "reproduction"


def test_roller_clearance_agrees_with_a_reproduction_of_iso_5753() -> None:
    # original-bearing.com/article/s103: cylindrical roller bearings with cylindrical bore
    for bore, class_, band in (
        (24, "CN", (20, 45)),
        (24, "C3", (35, 60)),
        (50, "CN", (30, 60)),
        (100, "C3", (75, 110)),
    ):
        found = bearings.clearance_band("cylindrical roller NU", bore * MM, class_)
        assert found is not None
        assert (found[0] / MICRON, found[1] / MICRON) == pytest.approx(band)


def test_clearance_classes_overlap_and_grow() -> None:
    for kind in ("deep groove ball", "cylindrical roller NU"):
        for bore in (12, 20, 30, 45, 60, 75, 95):
            bands = [bearings.clearance_band(kind, bore * MM, c) for c in ("C2", "CN", "C3", "C4", "C5")]
            ends = [(b[0], b[1]) for b in bands if b is not None]
            assert len(ends) == 5
            assert all(a[0] < b[0] and a[1] < b[1] for a, b in pairwise(ends))


def test_housing_seats_agree_with_two_tables_of_iso_286() -> None:
    # H7: 18.141.58.90/iso-286-pdf and eicac.co.uk/Limits-and-Fits-Shaft-Basis (grade 7): 0 to +21/+25/+30 µm
    for diameter, upper in ((30, 21), (47, 25), (62, 30), (80, 30), (100, 35)):
        seat = bearings.seat(diameter * MM, "H7")
        assert seat is not None
        low, high, source = seat
        assert (high - low) / MICRON == pytest.approx(upper)
        assert source.status == "verified"


@pytest.mark.parametrize(
    ("radial", "axial", "load"), [(1000, 0, 1000), (1000, 200, 1000), (1000, 1000, 2560)]
)
def test_deep_groove_load_uses_the_largest_factor_of_the_seed_guide(
    radial: float, axial: float, load: float
) -> None:
    # co-design.co.uk SEED guide, section 4.1: Fa/C0 = 0.025, e = 0.22, X = 0.56, Y = 2.0
    assert bearings.equivalent_load("deep groove ball", radial, axial) == pytest.approx(load)


def test_angular_contact_load_agrees_with_the_seed_guide() -> None:
    # same table: 40 degrees, e = 1.14, X = 0.35, Y = 0.57
    assert bearings.equivalent_load("angular contact ball", 1000, 1000) == pytest.approx(1000)
    assert bearings.equivalent_load("angular contact ball", 1000, 2000) == pytest.approx(
        0.35 * 1000 + 0.57 * 2000
    )
