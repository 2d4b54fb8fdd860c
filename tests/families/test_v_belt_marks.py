"""What the marks on V-belts say, whole and with gaps."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from partsdb.families.v_belt import FAMILY
from partsdb.families.v_belt.sections import MARK, lengths, systems
from partsdb.kit import requirement
from partsdb.model import Context, Measured, Spec, number, word
from partsdb.reading import identify, read
from support.belts import INCH, belt, derived, metric
from support.plates import TypedPlate, expected_value, is_truth, says_it, typed_plates

B68 = belt("B", 68)
SET = belt("B", 68, number("count", 3))


GAPS: list[tuple[list[str], Mapping[str, str]]] = [
    (["B6? 5L71?", "HEAT & OIL RESIST..."], {"section": "B", "length": "1727.2 mm"}),
    (["A4? 4L460", "VEE B?LT"], {"section": "A", "length": "1117.6 mm"}),
    (["?VX475 1206 LA", "V-BELT"], {"section": "3VX", "length": "1206.5 mm"}),
    (["5V8?0 20?2 LA", "STATIC COND..."], {"section": "5V", "length": "2032 mm", "finish": "antistatic"}),
    (["SPB 12?0 LP 1272 ?A"], {"section": "SPB", "length": "1250 mm"}),
    (["SPZ1?60 1073 LA", "SET OF 4"], {"section": "SPZ", "length": "1060 mm", "count": "4"}),
    (["17 x 17?5 Li 1794 La", "KEILRI?MEN"], {"section": "B", "length": "1725 mm"}),
    (["?75 17x1905 Li", "ANTISTATIC"], {"section": "B", "length": "1905 mm", "finish": "antistatic"}),
    (["C [38]5 22x2159 Li", "MATCH 5?"], {"section": "C", "length": "2159 mm"}),
    (["XP? 1250 1268 LA", "QTY 2"], {"section": "XPA", "length": "1250 mm", "count": "2"}),
]


@pytest.mark.parametrize(("text", "expect"), GAPS, ids=[" / ".join(t) for t, _ in GAPS])
def test_a_mark_with_gaps_still_says_which_belt_it_was(text: list[str], expect: Mapping[str, str]) -> None:
    found = identify(read(text), {"v_belt": FAMILY})
    assert found.best is not None
    for name, said in expect.items():
        assert says_it(FAMILY, found.best.spec, expected_value(FAMILY, name, said)), (name, found.best.spec)


@pytest.mark.parametrize("plate", typed_plates("v_belt"), ids=lambda p: " / ".join(p.text))
def test_an_undamaged_mark_is_read_in_full(plate: TypedPlate) -> None:
    found = identify(read(plate.text), {"v_belt": FAMILY})
    assert found.best is not None
    assert is_truth(FAMILY, plate, found.best)
    for name, said in plate.expect.items():
        assert says_it(FAMILY, found.best.spec, expected_value(FAMILY, name, said)), name


def test_a_tape_and_calipers_tell_a_rubbed_belt_apart_though_it_is_worn_longer_and_narrower() -> None:
    tape = Measured("outside_length", derived(B68, "outside_length") * 1.006, 4e-3, "tape")
    calipers = Measured("top_width", 0.0165, 0.4e-3, "calipers")
    found = identify(read(["?6?"], [tape, calipers], Context(family="v_belt")), {"v_belt": FAMILY})
    assert found.best is not None
    assert found.best.spec.code("section") in ("B", "BX")
    assert derived(found.best.spec, "outside_length") == pytest.approx(
        derived(B68, "outside_length"), rel=0.02
    )


def test_the_number_alone_gives_the_length_in_the_section_s_own_system() -> None:
    assert derived(B68, "length") == pytest.approx(68 * INCH)
    assert derived(belt("5V", 800), "outside_length") == pytest.approx(80 * INCH)
    assert derived(belt("SPB", 1250), "datum_length") == pytest.approx(1.250)


def test_an_a_number_is_inside_inches_and_a_4l_number_is_outside() -> None:
    a44, light = belt("A", 44), belt("4L", 460)
    assert derived(a44, "outside_length") == pytest.approx(derived(light, "outside_length"))
    assert derived(a44, "length") != pytest.approx(derived(light, "length"), rel=0.01)
    assert derived(belt("A", 46), "outside_length") > derived(light, "outside_length") + 0.04


def test_what_is_stated_is_never_overwritten_by_what_is_derived() -> None:
    told = FAMILY.complete(belt("B", 68, number("outside_length", 1.81)))
    assert [v.low for v in told.all("outside_length")] == [1.81]


@pytest.mark.parametrize(
    ("spec", "title"),
    [
        (B68, "B68 V-belt"),
        (SET, "3 × B68 V-belts"),
        (belt("SPB", 1250), "SPB 1250 V-belt"),
        (metric("17X1725"), "17x1725 Li V-belt"),
        (Spec("v_belt", (word("section", "C"),)), "C V-belt"),
        (Spec("v_belt"), "V-belt, size not read"),
    ],
)
def test_the_title_is_what_a_storeman_calls_it(spec: Spec, title: str) -> None:
    assert FAMILY.title_of(FAMILY.complete(spec)) == title


@pytest.mark.parametrize(
    "spec",
    [
        Spec("v_belt"),
        Spec("v_belt", (word("section", "K"), word("mark", "68"))),
        Spec("v_belt", (word("section", "B"), word("mark", "sixty-eight"))),
        Spec("v_belt", (word("section", "B"), number("length", 0.0))),
        Spec("v_belt", (word("section", "B"), number("length", 1e9))),
        Spec("v_belt", (word("metric_mark", "99X1725"),)),
        Spec("v_belt", (word("metric_mark", "a belt"),)),
    ],
)
def test_a_mark_that_says_nothing_gives_no_length_and_no_error(spec: Spec) -> None:
    full = FAMILY.complete(spec)
    assert not full.has("datum_length")
    assert requirement(FAMILY, spec, {"belt_count": 2.0}).questions
    assert "V-belt" in FAMILY.title_of(full)


def test_a_metric_name_alone_gives_section_and_length() -> None:
    full = FAMILY.complete(metric("17x1725 Li"))
    assert full.code("section") == "B"
    assert full.num("length") == pytest.approx(1.725)
    assert derived(metric("22 X 1900"), "datum_length") == pytest.approx(1.900 + 0.058)


WIDTHS = {"Z": 10, "A": 13, "B": 17, "C": 22, "D": 32}  # in metric names [mm]
LIGHT = {"A": ("4L", 2), "B": ("5L", 3)}  # light-duty name, inches from inside to outside


def test_the_second_names_of_every_belt_that_is_made_follow_from_its_size() -> None:
    for row in FAMILY.fields[0].rows:
        section, length, mark, metric_name, outside_mark, other = row.values
        assert isinstance(section, str) and isinstance(length, float)
        system = systems(section)[0] if mark is not None else systems(section)[-1]
        width, light = WIDTHS.get(section), LIGHT.get(section)
        assert metric_name == (f"{width}X{length * 1000:.0f}" if width else None), row
        if mark is not None:
            assert length == pytest.approx(float(str(mark)) * MARK[system], abs=1e-9), row
        if system == "inside inch":
            assert outside_mark is None
            assert other == (f"{light[0]}{(float(str(mark)) + light[1]) * 10:.0f}" if light else None), row
        else:
            assert outside_mark == f"{lengths(section, system, length).outside * 1000:.0f}", row
            assert other is None
