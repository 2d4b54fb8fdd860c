"""The database's history: one frozen revision a file in versions/. Never imports families or the store's tables.

A new revision: `alembic revision --autogenerate -m "Say why" --rev-id 0002` in the checkout, then add its id to
`partsdb.store.schema.REVISIONS`. Revisions run inside the one transaction that the store opens.
"""
