"""The browser each change came from, so that another's is told as made elsewhere."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; of what was changed before, it is not known."""
    op.add_column("changes", sa.Column("browser", sa.String(), nullable=True))
