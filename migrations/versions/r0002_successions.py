"""How numbers succeed one another, which source was believed, and what was fetched when."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision: str | None = "0001"


def upgrade() -> None:
    """To this revision."""
    op.create_table(
        "fetches",
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("etag", sa.Text(), nullable=False),
        sa.Column("modified", sa.Text(), nullable=False),
        sa.Column("fetched_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("address", name=op.f("pk_fetches")),
    )
    op.create_table(
        "settlements",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("designation", sa.Text(), nullable=False),
        sa.Column("attribute", sa.Text(), nullable=False),
        sa.Column("qualifier", sa.Text(), nullable=False),
        sa.Column("variant", sa.BigInteger(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("settled_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_settlements")),
    )
    op.create_table(
        "successions",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("plain", sa.Text(), nullable=False),
        sa.Column("to_maker", sa.Text(), nullable=False),
        sa.Column("to_number", sa.Text(), nullable=False),
        sa.Column("to_plain", sa.Text(), nullable=False),
        sa.Column("since", sa.Text(), nullable=True),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("import_row", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["imports.id"],
            name=op.f("fk_successions_import_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_successions")),
    )
    op.create_index(op.f("ix_successions_plain"), "successions", ["plain"], unique=False)
    op.create_index(op.f("ix_successions_to_plain"), "successions", ["to_plain"], unique=False)


def downgrade() -> None:
    """Back to the one before."""
    op.drop_index(op.f("ix_successions_to_plain"), table_name="successions")
    op.drop_index(op.f("ix_successions_plain"), table_name="successions")
    op.drop_table("successions")
    op.drop_table("settlements")
    op.drop_table("fetches")
