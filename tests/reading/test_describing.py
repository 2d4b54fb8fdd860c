"""What a price list's number and description tell of a part, and what they must not be taken for."""

from __future__ import annotations

import pytest

from partsdb.family import families
from partsdb.quantities import to_si
from partsdb.reading.describing import described, kind_named


@pytest.mark.parametrize(
    ("description", "kind"),
    [
        ("Ball bearing 6205-2RS C3", "rolling_bearing"),
        ("OIL SEALS 30x52x7 NBR", "shaft_seal"),
        ("V-belt B 68", "v_belt"),
        ("Motor run capacitor 20 uF 450 VAC", "ac_capacitor"),
        ("Three-phase motor 7.5 kW 400/690 V 50 Hz 1450 rpm", "ac_motor"),
        ("Contactor 3-pole, coil 230 VAC 50 Hz", "contactor"),
        ("Control transformer 250VA 415/110V", "transformer"),
        ("Hexagon screw M8x30", None),
        ("Sealant, 300 ml", None),  # holds "seal", but not as a word
        ("Starter NEMA size 1 with overload relay", "contactor"),
        ("Bearing puller for 6205", None),
        ("Lock nut KM5 for bearing 6205", None),
        ("Capacitor bracket 35uF 440VAC", None),
        ("Coil 120V 60Hz for contactor NEMA size 2", None),
        ("Contactor coil 230 V 50 Hz", None),
        ("Contact kit, contactor NEMA size 2", None),
        ("V-belt tensioner B75", None),
        ("Overload relay for contactor 9-13 A", None),
        ("Taper roller bearing 30205 cup only", None),
        ("Terminal box for motor 3 kW", None),
        ("Wear sleeve for oil seal 30x47x7", None),
        ("Dual run capacitor 35uF + 5uF 440VAC", None),
        ("", None),
    ],
)
def test_a_description_names_its_kind_or_none(description: str, kind: str | None) -> None:
    found = kind_named(description)
    assert (found.name if found else None) == kind


@pytest.mark.parametrize(
    ("kind", "designation", "description", "says"),
    [
        (
            "rolling_bearing",
            "AB 1",
            "Ball bearing 6205-2RS C3",
            {"series": "62", "closure": "2RS", "clearance": "C3"},
        ),
        ("rolling_bearing", "6205-2RS C3", "", {"series": "62", "closure": "2RS", "clearance": "C3"}),
        (
            "shaft_seal",
            "AB 2",
            "Oil seal 30x52x7 NBR [new]",
            {"shaft": (30, "mm"), "width": (7, "mm"), "material": "NBR"},
        ),
        (
            "ac_capacitor",
            "AB 3",
            "Run cap. 30uF 450VAC 50/60Hz",
            {"capacitance": (30, "µF"), "voltage_ac": (450, "V")},
        ),
    ],
)
def test_number_or_description_says_what_the_part_is(
    kind: str, designation: str, description: str, says: dict[str, object]
) -> None:
    spec = described(families()[kind], designation, description).spec
    for name, value in says.items():
        found = spec.first(name)
        assert found is not None, name
        if isinstance(value, tuple):
            assert found.low == pytest.approx(to_si(*value))
        else:
            assert found.code == value
        assert found.source.citation.startswith(("designation", "description"))
        assert found.source.status == "stated"


def test_what_number_and_description_contradict_each_other_in_is_left_open() -> None:
    spec = described(families()["rolling_bearing"], "6205-2RS", "Ball bearing 6206-2RS").spec
    assert spec.first("bore_code") is None
    assert spec.first("bore") is None
    assert spec.code("closure") == "2RS"


def test_a_text_that_says_nothing_of_such_a_part_tells_nothing() -> None:
    assert described(families()["shaft_seal"], "", "Hexagon screw, zinc plated").spec.values == ()
    assert described(families()["shaft_seal"], "???", "...").spec.values == ()


@pytest.mark.parametrize(
    ("kind", "designation", "description"),
    [
        ("rolling_bearing", "6205 P", "Bearing puller for 6205"),
        ("rolling_bearing", "KM5", "Lock nut KM5 for bearing 6205"),
        ("contactor", "C2", "Coil 120V 60Hz for contactor NEMA size 2"),
    ],
)
def test_what_goes_with_a_part_is_not_described_as_one(kind: str, designation: str, description: str) -> None:
    assert described(families()[kind], designation, description).spec.values == ()


def test_words_for_numbers_count() -> None:
    spec = described(
        families()["transformer"], "", "Three phase control transformer 500VA 415V/110V 50Hz"
    ).spec
    assert spec.num("phases") == 3
