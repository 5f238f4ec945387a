"""What every page and every save asks of the database.

Composed once, for that takes longer than the asking. Each names its episode by the parameter `own`.
"""

from typing import Any, Final

from sqlalchemy import BindParameter, bindparam, insert, select, update
from sqlmodel import col

from webapp.store.tables import ChangeRow, EpisodeRow

OWN: Final[BindParameter[Any]] = bindparam("own")
_ALIVE: Final = col(EpisodeRow.id) == OWN, col(EpisodeRow.deleted_at).is_(None)
_SHOWN: Final = "title", "series", "number", "publish_date", "document", "edition", "updated_at"

ID: Final = select(col(EpisodeRow.id)).where(*_ALIVE)
DOCUMENT: Final = select(col(EpisodeRow.document)).where(*_ALIVE)
EDITION: Final = select(col(EpisodeRow.edition)).where(*_ALIVE)
REVISION: Final = select(col(EpisodeRow.revision)).where(*_ALIVE)
STANDING: Final = select(col(EpisodeRow.edition), col(EpisodeRow.revision)).where(*_ALIVE)
# Whoever else would change it waits.
TO_CHANGE: Final = (
    select(col(EpisodeRow.edition), col(EpisodeRow.document)).where(*_ALIVE).with_for_update()
)
NEW_CHANGE: Final = insert(ChangeRow)
# The new values are parameters called new_title and so on.
CHANGED: Final = (
    update(EpisodeRow)
    .where(col(EpisodeRow.id) == OWN)
    .values(
        revision=col(EpisodeRow.revision) + 1,
        **{name: bindparam(f"new_{name}") for name in _SHOWN},
    )
)
