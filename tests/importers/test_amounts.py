"""Amounts in lists: never guessed where a comma could be either."""

from __future__ import annotations

from decimal import Decimal

import pytest

from partsdb.importers.amounts import decimal_of, split_currency


@pytest.mark.parametrize(
    ("text", "mark", "number"),
    [
        ("12", "", "12"),
        ("12.5", "", "12.5"),
        ("12,50", "", "12.50"),
        ("1.234", "", "1.234"),
        ("1.234", ",", "1234"),
        ("1,234", ".", "1234"),
        ("1,234", ",", "1.234"),
        ("1,234,567", "", "1234567"),
        ("1.234.567,8", "", "1234567.8"),
        ("1,234,567.8", "", "1234567.8"),
        ("1 234,50", "", "1234.50"),
        ("1'234.50", "", "1234.50"),
        ("12,", "", "12"),
    ],
)
def test_an_amount_is_read(text: str, mark: str, number: str) -> None:
    assert decimal_of(text, mark) == Decimal(number)


@pytest.mark.parametrize(
    "text", ["1,234", "", "abc", "1,23,456", "1.2,3.4", "12,34,5", "NaN", "1e999999999", "--5"]
)
def test_what_could_be_two_amounts_or_none_is_refused(text: str) -> None:
    number = decimal_of(text)
    assert number is None or not number.is_finite() or number > 10**12


def test_the_currency_stands_before_or_behind() -> None:
    assert split_currency("EUR 9,50") == ("9,50", "EUR")
    assert split_currency("9.50€") == ("9.50", "EUR")
    assert split_currency("£9") == ("9", "GBP")
    assert split_currency("$9") == ("$9", "")
