"""Laws of numbers and units: what is shown reads back, conversions undo each other, no text crashes the reader."""

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.errors import BadText, PartsError
from partsdb.quantities import parse, parse_number
from partsdb.units import from_si, show, spoken, to_si, unit, units

PINT: pint.UnitRegistry[float] = pint.UnitRegistry()
LIKE_PINT = (
    "µF",
    "V",
    "kV",
    "A",
    "Hz",
    "kW",
    "hp",
    "mm",
    "in",
    "rpm",
    "N",
    "lbf",
    "psi",
    "bar",
    "degC",
    "degF",
)
OURS = {"degC": "°C", "degF": "°F", "hp": "hp"}
SYMBOLS = sorted(units())
NASTY = "0123456789 ./,-+±%~=µμVvAaCcHhPpZz½⅜°\"'×x…–FfMmDdKkWw()⎓Ø\u00a0²١\x00\n"
PIECES = [
    "25",
    "1/2",
    "1 1/2",
    "-",
    "/",
    "...",
    "MFD",
    "VAC",
    "CY",
    "~",
    "±10%",
    "-0",
    "+20%",
    "to",
    " ",
    "2,5",
    "°C",
]

magnitudes = st.floats(min_value=1e-3, max_value=1e6, allow_nan=False)
plain = settings(max_examples=50, deadline=None)


@plain
@given(x=magnitudes, symbol=st.sampled_from(SYMBOLS))
def test_a_number_goes_to_si_and_back_unchanged(x: float, symbol: str) -> None:
    assert abs(from_si(to_si(x, symbol), symbol) - x) <= 1e-9 * max(abs(x), 1.0)


@plain
@given(x=magnitudes, name=st.sampled_from(LIKE_PINT))
def test_conversion_is_pint_s(x: float, name: str) -> None:
    theirs = float(PINT.Quantity(x, "horsepower" if name == "hp" else name).to_base_units().magnitude)
    assert abs(to_si(x, OURS.get(name, name)) - theirs) <= 1e-12 * abs(theirs)


@settings(max_examples=200, deadline=None)
@given(x=magnitudes, symbol=st.sampled_from(SYMBOLS), digits=st.integers(1, 8))
def test_what_is_shown_reads_back(x: float, symbol: str, digits: int) -> None:
    text = show(to_si(x, symbol), symbol, digits)
    (found,) = parse(text)
    assert found.unit == symbol
    assert found.low == found.high
    assert show(found.low, symbol, digits) == text
    assert abs(from_si(found.low, symbol) - x) <= 0.5001 * 10.0 ** (1 - digits) * x + 1e-9


@settings(max_examples=300, deadline=None)
@given(
    text=st.one_of(
        st.text(max_size=40),
        st.text(alphabet=NASTY, max_size=20),
        st.lists(st.sampled_from(PIECES), max_size=8).map("".join),
    ),
    dimension=st.sampled_from([None, "voltage", "temperature", "frequency", "capacitance", "length"]),
)
def test_any_text_gives_quantities_or_a_fault_with_a_place(text: str, dimension: str | None) -> None:
    try:
        found = parse(text, dimension)
    except BadText as fault:
        assert 0 <= fault.start <= len(fault.text)
        assert fault.start < fault.end
        assert fault.what
    else:
        assert found
        for q in found:
            assert 0 <= q.low <= q.high
            assert 0 <= q.start < q.end <= len(text)
            assert dimension is None or q.dimension == dimension


@settings(max_examples=200, deadline=None)
@given(text=st.one_of(st.text(max_size=20), st.text(alphabet=NASTY, max_size=12)))
def test_any_text_is_a_number_or_an_error_for_people(text: str) -> None:
    try:
        value = parse_number(text)
    except PartsError as error:
        assert str(error)
    else:
        assert abs(value) <= 1e15


@plain
@given(whole=st.integers(1, 99), bottom=st.sampled_from([2, 4, 8, 16, 32, 64]), data=st.data())
def test_a_mixed_fraction_is_its_arithmetic(whole: int, bottom: int, data: st.DataObject) -> None:
    top = data.draw(st.integers(1, bottom - 1))
    for between in (" ", "-"):
        assert parse_number(f"{whole}{between}{top}/{bottom}") == whole + top / bottom


@pytest.mark.parametrize(
    ("low", "high", "beside", "text"),
    [
        (440, None, "", "at least 440 V"),
        (None, 440, "", "at most 440 V"),
        (380, 440, "", "380 to 440 V"),
        (440, 440, "", "440 V"),
        (-5, 0, "", "-5 to 0 V"),
        (None, None, "kV", "any"),
        (380, 440, "kV", "380 to 440 V (0.38 to 0.44 kV)"),
        (440, None, "kV", "at least 440 V (0.44 kV)"),
    ],
)
def test_a_range_is_spoken_as_one_asks_for_it(low, high, beside, text):
    assert spoken(low, high, "V", beside) == text


@given(st.sampled_from([s for s in SYMBOLS if unit(s).beside]), st.floats(0.01, 9999))
@settings(max_examples=200, deadline=None)
def test_what_stands_beside_a_number_says_the_same(symbol, x):
    si = to_si(x, symbol)
    first, behind = spoken(si, si, symbol, unit(symbol).beside).removesuffix(")").split(" (")
    kind = unit(symbol).dimension
    one, other = parse(first, kind)[0].low, parse(behind, kind)[0].low
    scale = max(
        abs(to_si(x, symbol) - to_si(0, symbol)),
        to_si(1, unit(symbol).beside) - to_si(0, unit(symbol).beside),
    )
    assert one == pytest.approx(si, abs=1e-3 * scale)
    assert other == pytest.approx(si, abs=1e-3 * max(scale, 20 if kind == "temperature" else 0))
