"""Days of the week as people write them: mon, Monday, mon-fri. Monday is 0, as in `datetime`.

The names are ours and not the `calendar` module's, which follow the language the machine is set to.
"""

from __future__ import annotations

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
WORKWEEK = (0, 1, 2, 3, 4)


def weekday(word: str) -> int | None:
    """The day a word begins with, None when it is none.

    >>> weekday("Friday"), weekday("mon"), weekday("soon")
    (4, 0, None)
    """
    short = word.strip()[:3].casefold()
    return DAYS.index(short) if short in DAYS else None


def weekdays(text: str) -> tuple[int, ...] | None:
    """The days from "mon-fri" or "wed", the end included; None when it isn't days, or ends before it begins.

    >>> weekdays("mon-wed"), weekdays("sat"), weekdays("fri-mon")
    ((0, 1, 2), (5,), None)
    """
    first, _, last = text.partition("-")
    start, end = weekday(first), weekday(last or first)
    if start is None or end is None or start > end:
        return None
    return tuple(range(start, end + 1))
