"""Unit factors against the pint library (BSD)."""

import pint
import pytest

from partsdb.units import from_si, to_si, units

PINT: pint.UnitRegistry[float] = pint.UnitRegistry()
NAMES = {  # our symbol -> pint's expression, and SI expression of the dimension
    "F": "farad",
    "µF": "microfarad",
    "nF": "nanofarad",
    "pF": "picofarad",
    "V": "volt",
    "kV": "kilovolt",
    "mV": "millivolt",
    "A": "ampere",
    "mA": "milliampere",
    "kA": "kiloampere",
    "Hz": "hertz",
    "kHz": "kilohertz",
    "W": "watt",
    "kW": "kilowatt",
    "mW": "milliwatt",
    "hp": "horsepower",
    "PS": "metric_horsepower",
    "VA": "volt*ampere",
    "kVA": "kilovolt*ampere",
    "var": "volt*ampere",
    "kvar": "kilovolt*ampere",
    "Ω": "ohm",
    "kΩ": "kiloohm",
    "MΩ": "megaohm",
    "m": "meter",
    "mm": "millimeter",
    "cm": "centimeter",
    "µm": "micrometer",
    "in": "inch",
    "ft": "foot",
    "mm²": "millimeter**2",
    "m/s": "meter/second",
    "ft/min": "foot/minute",
    "rpm": "revolution/minute",
    "rad/s": "radian/second",
    "N": "newton",
    "kN": "kilonewton",
    "lbf": "pound_force",
    "N·m": "newton*meter",
    "lbf·ft": "pound_force*foot",
    "Pa": "pascal",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "bar": "bar",
    "psi": "psi",
    "K": "kelvin",
    "°C": "degC",
    "°F": "degF",
    "s": "second",
    "min": "minute",
    "h": "hour",
    "J": "joule",
    "kg": "kilogram",
    "%": "percent",
}


def test_the_list_of_names_covers_every_unit_of_the_table() -> None:
    assert set(NAMES) == set(units())


@pytest.mark.parametrize("symbol", NAMES)
def test_a_number_in_si_is_pint_s(symbol: str) -> None:
    for x in (1.0, 25.0, 440.0, 0.125):
        theirs = PINT.Quantity(x, NAMES[symbol]).to_base_units()
        assert to_si(x, symbol) == pytest.approx(float(theirs.magnitude), rel=1e-12)
        assert from_si(to_si(x, symbol), symbol) == pytest.approx(x, rel=1e-12)


def test_ten_horsepower_are_seven_thousand_four_hundred_and_fifty_seven_watts() -> None:
    assert to_si(10, "hp") == pytest.approx(7456.998716, abs=1e-6)  # NIST SP 811: 745.6999 W (550 ft lbf/s)
    assert to_si(1, "PS") == pytest.approx(735.49875, abs=1e-9)  # NIST SP 811: horsepower (metric) 735.4988 W
