"""One value, limit, time or amount in the words a fitter uses."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.guard import clean
from partsdb.outputs.words import amount, bullets, percent, row, when, wrapped


@settings(max_examples=200, deadline=None)
@given(st.floats(0, 1))
def test_only_certainty_is_shown_as_certainty(p):
    text = percent(p)
    assert (text == "100 %") == (p >= 1 - 1e-9)
    assert (text == "0 %") == (p == 0)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=200), st.integers(40, 100))
def test_wrapped_text_never_leaves_the_screen_and_never_steers_the_terminal(text, width):
    for line in (*wrapped(text, width, "  - "), *row(text[:60], "12 %", width)):
        assert len(line) <= width
        assert "\x1b" not in line
        assert "\r" not in line


def test_a_terminal_escape_in_a_name_is_taken_out():
    assert clean("belt\x1b[2J\u202e") == "belt[2J"


def test_a_row_that_does_not_fit_takes_two_lines():
    lines = row("  a very long name of a part that was made long ago", "straight swap", 40)
    assert len(lines) == 3
    assert lines[-1] == " " * 27 + "straight swap"


def test_times_are_shown_in_the_zone_named():
    at = datetime(2026, 6, 1, 13, 30, tzinfo=UTC)
    assert when(at, "Europe/London") == "Mon 1 Jun 14:30"
    assert when(at, "Europe/Berlin") == "Mon 1 Jun 15:30"


def test_money_has_two_places_and_its_currency():
    assert amount(Decimal("1234.5"), "GBP") == "1,234.50 GBP"


def test_every_text_gets_its_bullet():
    assert bullets(["isolate", "prove dead"], 40) == ["  - isolate", "  - prove dead"]
