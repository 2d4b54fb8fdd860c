"""The units a shop works in, and which import brought each value of a part."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision: str | None = "0002"


def upgrade() -> None:
    """To this revision. A value that is there already came with its part."""
    with op.batch_alter_table("shop") as shop:
        shop.add_column(sa.Column("units", sa.Text(), nullable=True))
    op.execute("UPDATE shop SET units = 'metric'")
    with op.batch_alter_table("shop") as shop:
        shop.alter_column("units", nullable=False, existing_type=sa.Text())
    with op.batch_alter_table("attribute_values") as values:
        values.add_column(sa.Column("import_id", sa.Integer(), nullable=True))
        values.add_column(sa.Column("import_row", sa.BigInteger(), nullable=True))
        values.create_foreign_key(
            op.f("fk_attribute_values_import_id"),
            "imports",
            ["import_id"],
            ["id"],
            initially="DEFERRED",
            deferrable=True,
        )
    op.execute(
        "UPDATE attribute_values SET "
        "import_id = (SELECT import_id FROM parts WHERE parts.id = attribute_values.part_id), "
        "import_row = (SELECT import_row FROM parts WHERE parts.id = attribute_values.part_id)"
    )


def downgrade() -> None:
    """Back to the one before."""
    with op.batch_alter_table("attribute_values") as values:
        values.drop_constraint(op.f("fk_attribute_values_import_id"), type_="foreignkey")
        values.drop_column("import_row")
        values.drop_column("import_id")
    with op.batch_alter_table("shop") as shop:
        shop.drop_column("units")
