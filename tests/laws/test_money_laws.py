"""Money is exact: sums don't depend on order, text reads back, a line total is within half a minor unit."""

from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.money import Money, money

amounts = st.integers(-(10**12), 10**12)
plain = settings(max_examples=100, deadline=None)


@plain
@given(parts=st.lists(amounts, max_size=20), data=st.data())
def test_a_sum_does_not_depend_on_the_order(parts: list[int], data: st.DataObject) -> None:
    def total(of: list[int]) -> Money:
        result = Money(0, "GBP")
        for part in of:
            result = result + Money(part, "GBP")
        return result

    assert total(parts) == total(data.draw(st.permutations(parts))) == Money(sum(parts), "GBP")


@plain
@given(e4=amounts)
def test_an_amount_written_with_four_places_reads_back(e4: int) -> None:
    assert money(str(Money(e4, "EUR").decimal), "EUR") == Money(e4, "EUR")


@plain
@given(e4=amounts, quantity=st.integers(0, 10_000))
def test_a_line_total_is_within_half_a_minor_unit_of_the_exact_product(e4: int, quantity: int) -> None:
    line = Money(e4, "GBP").times(quantity)
    assert line.e4 % 100 == 0
    assert abs(line.e4 - e4 * quantity) <= 50


@plain
@given(e4=amounts)
def test_conversion_at_one_only_rounds(e4: int) -> None:
    assert Money(e4, "EUR").converted(Decimal(1), "GBP").e4 == Money(e4, "EUR").minor * 100
