"""The record store: the only place with SQL.

schema       the tables                       columns, mapping   a record's fields as columns and back
opening      open_store: make, check, upgrade writing            rows into tables, a chunk at a time
repository   Store: put, all, where, find     dialect            everything only SQLite understands

with open_store(default_path(), now=now) as store:
    store.put(machine, position)
    store.find(Machine, "strander")
"""

from partsdb.store.bringing import About, Brought, Change, Provenance
from partsdb.store.exporting import export_to, import_from, logical_dump
from partsdb.store.opening import default_path, open_store
from partsdb.store.repository import Store
from partsdb.store.safekeeping import back_up, backups, check, restore

__all__ = [
    "About",
    "Brought",
    "Change",
    "Provenance",
    "Store",
    "back_up",
    "backups",
    "check",
    "default_path",
    "export_to",
    "import_from",
    "logical_dump",
    "open_store",
    "restore",
]
