"""The tables. Their shape in the database comes from migrations alone; a test compares both."""

from datetime import UTC, date, datetime

from sqlalchemy import (
    BigInteger,
    DateTime,
    Dialect,
    Index,
    Integer,
    String,
    Text,
    UniqueConstraint,
)
from sqlalchemy.types import TypeDecorator
from sqlmodel import Field, SQLModel

# What begins at the ms since 1970 is too large for PostgreSQL's integer.
_LARGE = BigInteger().with_variant(Integer(), "sqlite")


class UtcTime(TypeDecorator[datetime]):
    """A moment with its time zone; SQLite keeps none, so it is kept in UTC."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """To UTC, without saying so."""
        return value and value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Back, saying so."""
        return value and value.replace(tzinfo=UTC)


class Words(TypeDecorator[str]):
    """A text beside the document. What no database can hold is kept as U+FFFD (�).

    PostgreSQL refuses NUL, and no text in UTF-8 has half of a character. A document holds no NUL:
    JSON escapes it. So an id that is asked for with either is not there, on any database.
    """

    impl = String
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        """As it is kept, or looked for."""
        if value is None or (value.isascii() and "\0" not in value):
            return value
        return "".join("\ufffd" if c == "\0" or "\ud800" <= c <= "\udfff" else c for c in value)


class EpisodeRow(SQLModel, table=True):
    """An episode's document, with the fields the list page shows kept beside it."""

    __tablename__ = "episodes"
    __table_args__ = (  # holds all that the list shows: no document is read past for it
        Index(
            "list_of_episodes",
            "deleted_at", "updated_at", "id", "title", "series", "number", "publish_date",
        ),
    )  # fmt: skip

    id: str = Field(primary_key=True, sa_type=Words)
    title: str = Field(sa_type=Words)
    series: str = Field(sa_type=Words)
    number: int | None
    publish_date: date | None
    document: str = Field(sa_type=Text)
    # Grows with everything that alters the document; see the repository.
    revision: int = Field(sa_type=_LARGE)
    edition: int  # grows with what the maker does: changes, undo, redo
    created_at: datetime = Field(sa_type=UtcTime)
    updated_at: datetime = Field(sa_type=UtcTime)
    deleted_at: datetime | None = Field(default=None, sa_type=UtcTime)


class ChangeRow(SQLModel, table=True):
    """One change of an episode: its whole document before and after, compressed with zlib."""

    __tablename__ = "changes"
    __table_args__ = (UniqueConstraint("episode_id", "number", name="one_change_a_number"),)

    id: int | None = Field(default=None, primary_key=True)
    episode_id: str = Field(foreign_key="episodes.id", ondelete="CASCADE", sa_type=Words)
    number: int  # 1, 2, 3 … within the episode
    words: str = Field(sa_type=Words)
    before: bytes
    after: bytes
    made_at: datetime = Field(sa_type=UtcTime)
    undone: bool = False
    edition: int | None = None  # that it made first; None of what an earlier version wrote
    browser: str | None = Field(default=None, sa_type=Words)  # it came from; likewise


class SentRow(SQLModel, table=True):
    """What was sent and accepted, so that it is not done twice when it is sent again.

    An entry of the cutting table; the form that made the last change; the request for which the
    episode was made; the copy that was put back last.
    """

    __tablename__ = "sent_entries"

    episode_id: str = Field(
        primary_key=True, foreign_key="episodes.id", ondelete="CASCADE", sa_type=Words
    )
    entry: str = Field(primary_key=True, sa_type=Words)  # as the browser named it
    accepted_at: datetime = Field(sa_type=UtcTime)


class KeptRow(SQLModel, table=True):
    """What the maker keeps across episodes: recipes, size charts, the bodies of a series."""

    __tablename__ = "kept"

    id: str = Field(primary_key=True, sa_type=Words)
    kind: str = Field(sa_type=Words)  # of store.library.Kind
    name: str = Field(sa_type=Words)
    document: str = Field(sa_type=Text)  # JSON
    kept_at: datetime = Field(sa_type=UtcTime)
    deleted_at: datetime | None = Field(default=None, sa_type=UtcTime)


class AskedRow(SQLModel, table=True):
    """Long work that was asked for, until it has ended."""

    __tablename__ = "asked_work"
    __table_args__ = (UniqueConstraint("key", name="asked_once"),)

    id: int | None = Field(default=None, primary_key=True)  # in the order they were asked for
    key: str = Field(sa_type=Text)  # of its job
    kind: str = Field(sa_type=Text)
    arguments: str = Field(sa_type=Text)  # JSON
    called: str = Field(sa_type=Text)
    address: str = Field(sa_type=Text)
    begun: int  # how often, without an end
    asked_at: datetime = Field(sa_type=UtcTime)
