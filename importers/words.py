"""The words that lists use in their cells, and what is understood by them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from partsdb.tables import load


@cache
def understood(column: str) -> Mapping[str, str]:
    """Word -> meaning of one kind of cell ("yes or no", "stock", ...), from table list_words; words in lower case.

    >>> understood("stock")["ab lager"]
    'in stock'
    """
    return {row["word"]: row["means"] for row in load("list_words").rows if row["column"] == column}
