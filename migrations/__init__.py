"""The database's history: one frozen revision a file in versions/. Never imports families or the store's tables.

A new revision: change partsdb/store/schema.py, then in the checkout
`alembic revision --autogenerate -m "Say why" --rev-id 0003`, rename the file to r0003_..., read it (checks and
renames are not found by themselves), and add its id to `partsdb.store.schema.REVISIONS`.
Revisions run inside the one transaction that the store opens.
"""
