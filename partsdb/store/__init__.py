"""The record store: the only place with SQL.

    repository   Store: put, all, where, find       opening      open_store: make, check, upgrade
    schema       the tables                         mapping      which record goes into which table
    columns      one field as columns and back      dialect      everything only SQLite understands
    writing      rows into tables, a chunk at once  loading      rows out of tables as records
    finding      what a person means by a name      bringing     a finished list, as one short transaction
    safekeeping  checks, backups, going back        exporting    everything as CSV files and back

    with open_store(default_path(), now=now) as store:
        store.put(machine, position)
        store.find(Machine, "strander")

May import records, model, lineage and below, sqlalchemy and alembic; no stage, no importer, no output. While it
writes, nothing above it is at work: `Store.bring` takes rows that were read to their end.
"""

from partsdb.store.bringing import About, Brought, Change, Rows, Steps, ValueKey
from partsdb.store.exporting import export_to, import_from, logical_dump
from partsdb.store.opening import default_path, open_store
from partsdb.store.repository import Store
from partsdb.store.safekeeping import back_up, backups, check, restore

__all__ = [
    "About",
    "Brought",
    "Change",
    "Rows",
    "Steps",
    "Store",
    "ValueKey",
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
