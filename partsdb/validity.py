"""How long an offer is good for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from partsdb.records import Offer

STALE_AFTER = 60
"""Days after which a quoted price needs asking again, unless the person says otherwise. Judgement."""


def is_stale(offer: Offer, today: date, days: int = STALE_AFTER) -> bool:
    """Whether the price is older than that many days; a quotation without a date always is."""
    return offer.quoted_on is None or (today - offer.quoted_on).days > days


def believed_stock(offer: Offer, today: date, days: int = STALE_AFTER) -> Offer:
    """The offer with its word about stock taken back when it is stale: nobody then counts on pieces said to be there.

    Something put by for us stays put by: that is a promise, not a list.
    """
    if offer.stock != "in stock" or not is_stale(offer, today, days):
        return offer
    return replace(offer, stock="not stated", stock_units=None)
