import pytest

from partsdb.errors import BadInput, BadText
from partsdb.quantities import Quantity, parse, parse_number, show, to_si


def said(text: str, dimension: str | None = None) -> list[tuple[float, float, str, str]]:
    """(low, high, unit, kind) of each quantity, in the unit it was written in."""
    found: list[tuple[float, float, str, str]] = []
    for q in parse(text, dimension):
        factor = to_si(1.0, q.unit) - to_si(0.0, q.unit) if q.unit else 1.0
        zero = to_si(0.0, q.unit) if q.unit else 0.0
        found.append((round((q.low - zero) / factor, 9), round((q.high - zero) / factor, 9), q.unit, q.kind))
    return found


# --------------------------------------------------------------------------- numbers


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("25", 25),
        (".25", 0.25),
        ("2.5", 2.5),
        ("2,5", 2.5),
        ("0,125", 0.125),
        ("1,725", 1725),
        ("1.725", 1.725),
        ("12,500", 12500),
        ("1,234.5", 1234.5),
        ("1.234,5", 1234.5),
        ("1'500", 1500),
        ("1\u202f500", 1500),
        ("1,234,567", 1234567),
        ("3/4", 0.75),
        ("1/20", 0.05),
        ("1 1/2", 1.5),
        ("1-1/2", 1.5),
        ("1½", 1.5),
        ("1 ½", 1.5),
        ("½", 0.5),
        ("⅜", 0.375),
        ("1 15/16", 1.9375),
        ("3⁄8", 0.375),
        ("-20", -20),
        ("−20", -20),
        ("+70", 70),
        ("2.2e-05", 2.2e-5),
        (" 25 ", 25),
    ],
)
def test_a_number_is_read_in_every_way_plates_write_it(text: str, value: float) -> None:
    assert parse_number(text) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(
    "text", ["", "   ", "nan", "inf", "-", "1/0", "½½", "1 2", "220/440", "1e400", "9" * 40, "١٢", "²"]
)
def test_what_is_no_single_number_is_refused_with_its_place(text: str) -> None:
    with pytest.raises(BadText) as fault:
        parse_number(text)
    assert fault.value.text == text
    assert fault.value.start < fault.value.end


def test_three_digits_after_a_comma_behind_three_digits_are_refused_because_they_may_be_a_list() -> None:
    with pytest.raises(BadText, match="two values or one"):
        parse_number("220,440")
    assert parse_number("100,000") == 100_000


# --------------------------------------------------------------------------- units and spellings


@pytest.mark.parametrize(
    "text",
    ["25 MFD", "25 mfd.", "25MFD", "25 MF", "25 µF", "25 μF", "25uF", "25 M.F.D.", "MFD 25"],
)
def test_every_spelling_of_microfarad_says_the_same(text: str) -> None:
    assert [(q.low, q.high, q.dimension) for q in parse(text)] == [(25e-6, 25e-6, "capacitance")]


@pytest.mark.parametrize(
    "text", ["60 CY", "60 CYC.", "60 CYCLES", "60~", "60 ∼", "60 Hz", "60HZ", "60 C.P.S.", "CY. 60"]
)
def test_every_spelling_of_hertz_says_the_same(text: str) -> None:
    assert [(q.low, q.dimension) for q in parse(text)] == [(60.0, "frequency")]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("440 VAC", "AC"),
        ("440 V AC", "AC"),
        ("440 V.A.C.", "AC"),
        ("440 VOLTS A.C.", "AC"),
        ("440 V~", "AC"),
        ("AC 440 V", "AC"),
        ("440 V CA", "AC"),
        ("440 VDC", "DC"),
        ("440 V D.C.", "DC"),
        ("440 V=", "DC"),
        ("440 V", ""),
    ],
)
def test_ac_or_dc_is_read_wherever_it_stands(text: str, kind: str) -> None:
    assert said(text) == [(440, 440, "V", kind)]


def test_ac_and_dc_together_give_one_quantity_each() -> None:
    assert said("24 V AC/DC") == [(24, 24, "V", "AC"), (24, 24, "V", "DC")]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1 1/2 HP", (1.5, "hp")),
        ("1-1/2 H.P.", (1.5, "hp")),
        ("3/4HP", (0.75, "hp")),
        ("½ HP", (0.5, "hp")),
        ('1 3/8"', (1.375, "in")),
        ("5/8 in.", (0.625, "in")),
        ("1½″", (1.5, "in")),
        ("5 KVA", (5, "kVA")),
        ("1,725 R.P.M.", (1725, "rpm")),
        ("1450 tr/min", (1450, "rpm")),
        ("1450 U/min", (1450, "rpm")),
        ("1450 1/min", (1450, "rpm")),
        ("2,5 A", (2.5, "A")),
        ("40 °C", (40, "°C")),
        ("40 DEG. C", (40, "°C")),
        ("104 °F", (104, "°F")),
        ("5 mA", (5, "mA")),
        ("500 PF", (500, "pF")),
        ("500 MMFD", (500, "pF")),
        ("2.2 KΩ", (2.2, "kΩ")),
    ],
)
def test_plate_spellings(text: str, expected: tuple[float, str]) -> None:
    assert [(low, unit) for low, _, unit, _ in said(text)] == [expected]


def test_the_dimension_decides_what_a_letter_means() -> None:
    assert said("60 C", "frequency") == [(60, 60, "Hz", "")]
    assert said("60 C", "temperature") == [(60, 60, "°C", "")]
    assert said("104 F", "temperature") == [(104, 104, "°F", "")]
    assert said("25 M", "capacitance") == [(25, 25, "µF", "")]
    assert said("25 M", "length") == [(25, 25, "m", "")]


def test_mega_on_a_plate_in_capitals_is_never_taken_for_milli() -> None:
    with pytest.raises(BadText, match="milli or mega"):
        parse("5 MW")


def test_a_stroke_is_a_fraction_of_an_inch_but_two_voltages() -> None:
    assert said('3/4"') == [(0.75, 0.75, "in", "")]
    assert said("2/3 V") == [(2, 2, "V", ""), (3, 3, "V", "")]
    assert said("8/16 MFD") == [(8, 8, "µF", ""), (16, 16, "µF", "")]


def test_a_phase_mark_is_not_a_frequency() -> None:
    assert [(q.low, q.dimension) for q in parse("3~ 400 V 50 Hz")] == [
        (3, "phases"),
        (400, "voltage"),
        (50, "frequency"),
    ]
    assert [(q.low, q.dimension) for q in parse("3 PH 60~")] == [(3, "phases"), (60, "frequency")]


# --------------------------------------------------------------------------- several values, ranges, tolerances


@pytest.mark.parametrize(
    "text", ["220/440 V", "220 / 440 VOLTS", "220V/440V", "220, 440 V", "220 or 440 V", "VOLTS 220/440"]
)
def test_two_values_of_one_unit_give_two_quantities(text: str) -> None:
    assert said(text) == [(220, 220, "V", ""), (440, 440, "V", "")]


@pytest.mark.parametrize(
    "text", ["88-108 MFD", "88–108 MFD", "88 to 108 MFD", "88...108 MFD", "88…108 MFD", "88 MFD - 108 MFD"]
)
def test_a_range_is_one_quantity_with_two_ends(text: str) -> None:
    assert said(text) == [(88, 108, "µF", "")]


def test_a_dash_between_voltages_in_the_ratio_of_two_connections_is_no_range() -> None:
    assert len(parse("110-220 V")) == 2
    assert len(parse("220-380 V")) == 2
    assert said("220-240 V") == [(220, 240, "V", "")]
    assert said("208-230/460 V") == [(208, 230, "V", ""), (460, 460, "V", "")]
    assert said("110-220-440 V") == [(110, 110, "V", ""), (220, 220, "V", ""), (440, 440, "V", "")]


def test_a_range_of_temperatures_may_go_below_zero() -> None:
    assert said("-25...+70 °C") == [(-25, 70, "°C", "")]
    assert said("-10/+40 °C") == [(-10, 40, "°C", "")]


@pytest.mark.parametrize(
    ("text", "tolerance"),
    [
        ("25 µF ±10%", (0.1, 0.1)),
        ("25 µF ± 10 %", (0.1, 0.1)),
        ("25 µF +/-10%", (0.1, 0.1)),
        ("25 µF ±5", (0.05, 0.05)),
        ("25 µF -0 +20%", (0.0, 0.2)),
        ("25 µF -0/+20%", (0.0, 0.2)),
        ("25 µF +20 -0 %", (0.0, 0.2)),
        ("25 µF +20% -10%", (0.1, 0.2)),
        ("25 ±5% µF", (0.05, 0.05)),
        ("25 µF ±2.5 µF", (0.1, 0.1)),
        ("25 µF -10%", (0.1, 0.0)),
        ("25 µF", (None, None)),
    ],
)
def test_a_tolerance_is_a_pair_of_ratios(text: str, tolerance: tuple[float | None, float | None]) -> None:
    (found,) = parse(text)
    assert (found.low, found.high) == (25e-6, 25e-6)
    assert (found.minus, found.plus) == pytest.approx(tolerance)


def test_what_is_written_once_serves_both_values() -> None:
    both = parse("220/440 VAC ±10%")
    assert [(q.kind, q.minus, q.plus) for q in both] == [("AC", 0.1, 0.1)] * 2


# --------------------------------------------------------------------------- whole plates


def test_a_line_of_a_plate_gives_its_quantities_in_order_and_place() -> None:
    text = "25 MFD 440 VAC 60 CY"
    assert said(text) == [(25, 25, "µF", ""), (440, 440, "V", "AC"), (60, 60, "Hz", "")]
    assert [text[q.start : q.end] for q in parse(text)] == ["25 MFD", "440 VAC", "60 CY"]


def test_labels_may_stand_in_front() -> None:
    text = "VOLTS: 220/440 AMPS: 8.6/4.3 CYCLES 60 R.P.M. 1725 H.P. 1 1/2"
    assert [(low, unit) for low, _, unit, _ in said(text)] == [
        (220, "V"), (440, "V"), (8.6, "A"), (4.3, "A"), (60, "Hz"), (1725, "rpm"), (1.5, "hp"),
    ]  # fmt: skip


def test_glued_ratings_come_apart() -> None:
    assert said("115V-60CY-1/4HP") == [(115, 115, "V", ""), (60, 60, "Hz", ""), (0.25, 0.25, "hp", "")]
    assert said("25MFD440VAC") == [(25, 25, "µF", ""), (440, 440, "V", "AC")]


def test_a_dimension_keeps_only_its_own() -> None:
    assert said("25 MFD 440 VAC 60 CY", "voltage") == [(440, 440, "V", "AC")]


def test_a_bare_number_takes_the_unit_of_its_column_and_nothing_else() -> None:
    assert parse("440", "voltage", bare="V") == (
        Quantity(440.0, 440.0, "V", "voltage", "", None, None, 0, 3),
    )
    assert said("25") == [(25, 25, "", "")]
    with pytest.raises(BadText, match="without a unit"):
        parse("440", "voltage")


# --------------------------------------------------------------------------- faults


@pytest.mark.parametrize(
    ("text", "what", "place"),
    [
        ("25 bananas", "neither number nor unit", "bananas"),
        ("1 450 tr/min", "two numbers", "450"),
        ("-5 V", "below zero", "-5"),
        ("-300 °C", "below zero", "-300"),
        ("V~", "a unit without a number", "V"),
        ("440...220 V", "runs backwards", "440...220 V"),
        ("25 µF +5 +10%", "one sign twice", "+5 +10%"),
        ("25 µF ±200%", "out of all proportion", "±200%"),
        ("1e400 V", "out of all proportion", "1e400"),
        ("25 µF ±5 V", "another unit", "±5 V"),
        ("0 V ±5 V", "tolerance of nothing", "0 V ±5 V"),
    ],
)
def test_a_fault_is_marked_where_it_stands(text: str, what: str, place: str) -> None:
    with pytest.raises(BadText, match=what) as fault:
        parse(text)
    assert text[fault.value.start : fault.value.end] == place
    assert fault.value.text == text


@pytest.mark.parametrize("text", ["", "   ", "nan", "inf V", "NaN µF", "/", "±", "%", "~"])
def test_nonsense_is_refused(text: str) -> None:
    with pytest.raises(BadText):
        parse(text)


def test_a_text_longer_than_any_plate_is_refused() -> None:
    assert len(parse("1 V " * 75)) == 75
    with pytest.raises(BadText, match="too long"):
        parse("1 V " * 76)


def test_the_wrong_dimension_is_named() -> None:
    with pytest.raises(BadText, match="no capacitance"):
        parse("440 V", "capacitance")
    with pytest.raises(BadInput, match="not a dimension"):
        parse("440 V", "tastiness")
    with pytest.raises(BadInput, match="not a unit"):
        parse("440", bare="furlong")


# --------------------------------------------------------------------------- showing


@pytest.mark.parametrize(
    ("si", "symbol", "text"),
    [
        (25e-6, "µF", "25 µF"),
        (440.0, "V", "440 V"),
        (1.234e-11, "F", "0.00000000001234 F"),
        (1234567.0, "V", "1235000 V"),
        (313.15, "°C", "40 °C"),
        (0.0, "V", "0 V"),
        (1.5, "", "1.5"),
        (1725 * 0.10471975511965977, "rpm", "1725 rpm"),
    ],
)
def test_numbers_are_shown_without_exponent_or_trailing_zeros(si: float, symbol: str, text: str) -> None:
    assert show(si, symbol) == text
