"""What stands on a part, or in its list's row, and isn't understood."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision: str | None = "0004"


def upgrade() -> None:
    """To this revision."""
    op.add_column("parts", sa.Column("unread", sa.Text(), nullable=True))


def downgrade() -> None:
    """Back to the one before."""
    op.drop_column("parts", "unread")
