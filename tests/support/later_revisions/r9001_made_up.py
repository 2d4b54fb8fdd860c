"""A revision that only tests know, to upgrade to: it copies records, makes a table anew and adds two."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "9001"
down_revision: str | None = "0005"


def upgrade() -> None:
    """To this revision."""
    op.create_table("first_made_up", sa.Column("name", sa.Text(), primary_key=True))
    op.execute("INSERT INTO first_made_up SELECT name FROM machines")
    with op.batch_alter_table("machines") as machines:
        machines.add_column(sa.Column("made_up", sa.Text(), nullable=False, server_default="as before"))
    op.create_table("second_made_up", sa.Column("name", sa.Text(), primary_key=True))


def downgrade() -> None:
    """Back to the one before."""
    op.drop_table("second_made_up")
    with op.batch_alter_table("machines") as machines:
        machines.drop_column("made_up")
    op.drop_table("first_made_up")
