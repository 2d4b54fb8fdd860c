"""The record store: the only place with SQL.

schema       the tables                       columns, mapping   a record's fields as columns and back
opening      open_store: make, check, upgrade writing            rows into tables, a chunk at a time
repository   Store: put, all, where, find     dialect            everything only SQLite understands

with open_store(default_path(), now=now) as store:
    store.put(machine, position)
    store.find(Machine, "strander")
"""

from partsdb.lineage import circles, plain
from partsdb.store.bringing import About, Brought, Change, Provenance, ValueKey
from partsdb.store.disagreement import RULES, Claim, Disagreement, Key, agreed, disagreements
from partsdb.store.exporting import export_to, import_from, logical_dump
from partsdb.store.opening import default_path, open_store
from partsdb.store.repository import Store
from partsdb.store.safekeeping import back_up, backups, check, restore
from partsdb.store.succession import Numbers, Reached, known_before, numbers_of
from partsdb.store.validity import believed_stock, is_stale

__all__ = [
    "RULES",
    "About",
    "Brought",
    "Change",
    "Claim",
    "Disagreement",
    "Key",
    "Numbers",
    "Provenance",
    "Reached",
    "Store",
    "ValueKey",
    "agreed",
    "back_up",
    "backups",
    "believed_stock",
    "check",
    "circles",
    "default_path",
    "disagreements",
    "export_to",
    "import_from",
    "is_stale",
    "known_before",
    "logical_dump",
    "numbers_of",
    "open_store",
    "plain",
    "restore",
]
