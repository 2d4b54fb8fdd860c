"""Exact money: integers of 1/10,000 of a currency unit, and the rounding of invoices."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from partsdb.errors import BadInput


@dataclass(frozen=True, slots=True, order=True)
class Money:
    """An exact amount. `e4` counts 1/10,000 of a unit; `currency` is the ISO 4217 code."""

    e4: int
    currency: str

    @property
    def decimal(self) -> Decimal:
        """The amount as a Decimal with four places."""
        return Decimal(self.e4).scaleb(-4)

    @property
    def minor(self) -> int:
        """The amount in 1/100 units, rounded half up as invoices are."""
        return int((self.decimal * 100).quantize(Decimal(1), rounding=ROUND_HALF_UP))

    def __add__(self, other: Money) -> Money:
        return Money(self.e4 + self._same(other).e4, self.currency)

    def __sub__(self, other: Money) -> Money:
        return Money(self.e4 - self._same(other).e4, self.currency)

    def times(self, quantity: int) -> Money:
        """The line total for `quantity` pieces, rounded once to 1/100.

        >>> Money(12_345, "GBP").times(3)
        Money(e4=37000, currency='GBP')
        """
        return Money(Money(self.e4 * quantity, self.currency).minor * 100, self.currency)

    def converted(self, rate: Decimal, currency: str) -> Money:
        """This amount in another currency at `rate` units of it per unit of ours, rounded to 1/100."""
        exact = Decimal(self.e4) * rate / 100
        return Money(int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP)) * 100, currency)

    def __str__(self) -> str:
        return f"{self.decimal:,.2f} {self.currency}"

    def _same(self, other: Money) -> Money:
        if other.currency != self.currency:
            raise BadInput(f"can't add {other.currency} to {self.currency}", "State a rate of exchange")
        return other


def money(text: str | Decimal, currency: str) -> Money:
    """Money from a decimal text.

    >>> money("12.3456", "EUR").e4
    123456
    """
    try:
        exact = Decimal(text).scaleb(4)
        e4 = int(exact.to_integral_value(rounding=ROUND_HALF_UP))
    except (ArithmeticError, ValueError) as fault:
        raise BadInput(f"{text!r} is not an amount of money", "Write it like 12.50") from fault
    return Money(e4, currency)
