"""Lists from outside: bytes in, records and findings out. Nothing is stored here and no clock is read.

    with open("prices.csv", "rb") as stream:
        listing = read_list(stream, "prices.csv", "offers", known)
        with finish(listing) as rows: ...        # the good rows, all read: (row number, record)
    listing.findings, listing.bad_rows           # complete once the rows are used up

A format is a module with a FORMAT: bytes to rows of texts. A subject is a module with SUBJECTS: rows to records. Both
are found by being there. Ids are UUIDv5 of (source, row key): the same list gives the same records.

    delimited, spreadsheet, json_lines                      formats      formats, and which one a list has
    parts, suppliers, offers, deliveries, successions       subjects     specs    attributes in a row's cells
    listing    a list being read                            finished     its good rows, all read and kept
    layout     which column is what                         looking      a first look, to ask a person
    rows       one row's cells, every fault collected       amounts      money as lists write it
    identity   ids                                          mending      bad rows as a list of their own
    fetching   a list over the network                      addresses    which addresses are safe; keys
    pages      a list that comes in pieces

May import family, records, model, lineage and below, httpx and openpyxl; no stage, no store, no service: what only they
know is handed in with `References`.
"""

from partsdb.importers.finished import Finished, finish
from partsdb.importers.layout import Layout, layout_from_toml
from partsdb.importers.listing import Listing, read_list, subjects
from partsdb.importers.mending import mend_name
from partsdb.importers.rows import References

__all__ = [
    "Finished",
    "Layout",
    "Listing",
    "References",
    "finish",
    "layout_from_toml",
    "mend_name",
    "read_list",
    "subjects",
]
