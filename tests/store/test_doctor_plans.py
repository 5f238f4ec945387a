"""What the doctor says of plans, whatever keeps them."""

from pathlib import Path

import pytest

from tests.databases import sql
from webapp.doctor.finding import Finding
from webapp.doctor.plans import plans
from webapp.plan.episode import Episode
from webapp.settings import Settings
from webapp.store.database import HEAD, database_path, open_database
from webapp.store.repository import EpisodeStore

pytestmark = pytest.mark.usefixtures("database")


def _found(folder: Path) -> dict[str, Finding]:
    return {one.about: one for one in plans(Settings(data_dir=folder))}


def test_plans_that_are_whole_older_newer_and_damaged(tmp_path: Path, smock: Episode) -> None:
    store = EpisodeStore(open_database(database_path(tmp_path)))
    store.add(smock)
    found = _found(tmp_path)  # while they are open
    assert {one.state for about, one in found.items() if about in ("Database", "Episodes")} == {
        "well"
    }
    assert found["Episodes"].words == "1 episode, each can be read."
    assert found["Database"].words.endswith(f"is whole and up to date (version {HEAD}).")
    store.close()
    sql(tmp_path, "UPDATE episodes SET document = '{}'")
    assert _found(tmp_path)["Episodes"].words.startswith("1 episode cannot be read: ")
    sql(tmp_path, "UPDATE alembic_version SET version_num = '0003'")
    assert "is brought up to date at the next start" in _found(tmp_path)["Database"].words
    sql(tmp_path, "UPDATE alembic_version SET version_num = '9999'")
    assert "a newer Seamslate" in _found(tmp_path)["Database"].words
