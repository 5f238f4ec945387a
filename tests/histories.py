"""What a store has recorded of an episode, read past it."""

from sqlmodel import col, select

from webapp.store.database import transaction
from webapp.store.history import Change
from webapp.store.repository import EpisodeStore
from webapp.store.tables import ChangeRow


def history(store: EpisodeStore, episode_id: str) -> list[Change]:
    """Its changes, newest first, those taken back among them."""
    of_episode = select(ChangeRow).where(ChangeRow.episode_id == episode_id)
    with transaction(store._reading) as session:
        newest_first = session.exec(of_episode.order_by(col(ChangeRow.number).desc()))
        return [Change(row.number, row.words, row.made_at, row.undone) for row in newest_first]
