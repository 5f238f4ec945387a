"""The edition each change made: what a page of the one before showed is known by it."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; of what was changed before, it is not known."""
    op.add_column("changes", sa.Column("edition", sa.Integer(), nullable=True))
