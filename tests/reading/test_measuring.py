"""What people type for measurements and duties, as numbers the core can weigh."""

from __future__ import annotations

import pytest

from partsdb.errors import BadInput
from partsdb.family import families
from partsdb.reading.measuring import duty_from, measured, quantity_in, supply_on_plate

EVERY = families()


@pytest.mark.parametrize(
    ("text", "attribute", "value"),
    [
        ("capacitance 16.9 µF", "capacitance", 16.9e-6),
        ("capacitance=16.9uF", "capacitance", 16.9e-6),
        ("16.9 µF", "capacitance", 16.9e-6),
        ("measured 16.9 µF", "capacitance", 16.9e-6),
        ("Measured: bore 25 mm", "bore", 0.025),
        ("bore 25 mm", "bore", 0.025),
        ("bore: 25", "bore", 0.025),
        ('outside 2 1/16"', "outside", 2.0625 * 0.0254),
    ],
)
def test_a_measurement_is_found_by_name_or_by_its_unit(text, attribute, value):
    (one,) = measured([text], EVERY)
    assert one.attribute == attribute
    assert one.value == pytest.approx(value)
    assert one.sd > 0
    assert text.endswith(one.as_written)


def test_a_stated_accuracy_counts_as_two_standard_deviations():
    (one,) = measured(["capacitance 20 µF ±4%"], EVERY)
    assert one.sd == pytest.approx(0.02 * 20e-6)


def test_without_a_stated_accuracy_that_of_the_tool_is_taken():
    (one,) = measured(["capacitance 20 µF"], EVERY)
    tool = next(m for m in EVERY["ac_capacitor"].measurements if m.attribute == "capacitance")
    assert one.sd == pytest.approx(tool.sd_abs + tool.sd_rel * 20e-6)


@pytest.mark.parametrize("text", ["25 mm", "hat size 7", "bore 25 V", "bore wide", "", "   "])
def test_what_could_be_anything_or_nothing_is_refused_with_what_there_is(text):
    with pytest.raises(BadInput) as refused:
        measured([text], EVERY)
    assert str(refused.value)


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("supply_voltage=415 V", "supply_voltage", 415.0),
        ("supply_voltage=415", "supply_voltage", 415.0),
        ("supply voltage = 0.415 kV", "supply_voltage", 415.0),
        ("ambient=40 °C", "ambient", 313.15),
        ("starts_per_hour=60", "starts_per_hour", 60.0),
        ("starting=inched", "starting", "inched or reversed"),
    ],
)
def test_duties_are_read_with_their_units_and_words(text, name, value):
    assert duty_from([text]) == {name: pytest.approx(value) if isinstance(value, float) else value}


@pytest.mark.parametrize(
    "text",
    ["supply_voltage", "supply_voltage=", "supply_voltage=415 mm", "starting=perhaps", "height=3 m", "=5"],
)
def test_a_duty_that_is_none_is_refused(text):
    with pytest.raises(BadInput):
        duty_from([text])


def test_a_bare_number_is_meant_in_the_unit_asked_for():
    assert quantity_in("52", "mm").low == pytest.approx(0.052)
    assert quantity_in("5.2 cm", "mm").low == pytest.approx(0.052)


def test_a_machine_plate_gives_volts_and_hertz():
    assert supply_on_plate("440 V 60 Hz") == (440.0, 60.0)
    assert supply_on_plate("60 CY") == (None, 60.0)
    assert supply_on_plate("") == (None, None)
    with pytest.raises(BadInput):
        supply_on_plate("no idea")
