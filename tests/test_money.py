from decimal import Decimal

import pytest

from partsdb.errors import BadInput
from partsdb.money import Money, money


def test_an_amount_is_kept_to_a_ten_thousandth() -> None:
    assert money("12.3456", "EUR").e4 == 123_456
    assert money("12.34565", "EUR").e4 == 123_457  # half up
    assert money("12.34564", "EUR").e4 == 123_456


@pytest.mark.parametrize(
    ("e4", "minor"), [(12_349, 123), (12_350, 124), (12_351, 124), (-12_350, -124), (0, 0)]
)
def test_minor_units_round_half_away_from_zero_as_invoices_do(e4: int, minor: int) -> None:
    assert Money(e4, "GBP").minor == minor


def test_a_line_is_rounded_once_and_not_piece_by_piece() -> None:
    assert Money(12_345, "GBP").times(3) == Money(
        37_000, "GBP"
    )  # 3.7035 -> 3.70; piece by piece it were 3.69
    assert Money(12_345, "GBP").times(0) == Money(0, "GBP")


def test_amounts_of_one_currency_add_and_of_two_do_not() -> None:
    assert Money(1, "GBP") + Money(2, "GBP") - Money(3, "GBP") == Money(0, "GBP")
    with pytest.raises(BadInput, match="EUR to GBP"):
        Money(1, "GBP") + Money(1, "EUR")
    with pytest.raises(BadInput, match="rate of exchange"):
        Money(1, "GBP") - Money(1, "EUR")


def test_conversion_rounds_to_the_minor_unit_of_the_other_currency() -> None:
    assert money("100", "EUR").converted(Decimal("0.85555"), "GBP") == money("85.56", "GBP")


@pytest.mark.parametrize("text", ["", "twelve", "1.2.3", "12,50", "NaN", "Infinity", "1e999999"])
def test_what_is_no_amount_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="not an amount"):
        money(text, "GBP")


def test_an_amount_is_shown_with_two_places_and_its_currency() -> None:
    assert str(money("1234.5", "GBP")) == "1,234.50 GBP"
