"""What the list of episodes shows is found without reading past any document."""

from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the index."""
    op.create_index(
        "list_of_episodes",
        "episodes",
        ["deleted_at", "updated_at", "id", "title", "series", "number", "publish_date"],
    )
