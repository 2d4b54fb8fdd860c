"""Lists from outside: bytes in, records and findings out. Nothing is stored here and no clock is read.

    with open("prices.csv", "rb") as stream:
        listing = read_list(stream, "prices.csv", "offers", known)
        for row, record in listing: ...          # the good rows, streamed
    listing.findings, listing.bad_rows           # complete once the rows are used up

A format is a module with a FORMAT (delimited, spreadsheet, json_lines): bytes to rows of texts. A subject is a
module with SUBJECTS (parts, suppliers, offers, deliveries, successions): rows to records. Both are found by being
there. In between stand `layout` (which column is what) and `rows` (one row's cells, read with every fault
collected). Ids are UUIDv5 of (source, row key): the same list gives the same records. `mending` writes the bad rows
as a list of their own; `fetching` gets a list over the network.
"""

from partsdb.importers.layout import Layout, layout_from_toml
from partsdb.importers.listing import Listing, read_list, subjects
from partsdb.importers.mending import mend_name
from partsdb.importers.rows import Known

__all__ = ["Known", "Layout", "Listing", "layout_from_toml", "mend_name", "read_list", "subjects"]
