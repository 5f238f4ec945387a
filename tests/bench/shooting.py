"""Shoot days of whole episodes: the first plan, the best one, and the pages that show times."""

import time
from collections.abc import Iterator
from datetime import date, timedelta

from tests.large_episode import SHOTS, STEPS, large_episode
from webapp.filming.shoot_days import ShootDay
from webapp.plan.day_planning import PlannedDays, planned_days
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode

Row = tuple[str, str, str]
SECONDS = 10.0
DEMOS = ("episode-3-lighthouse-smock.json", "episode-4-market-day-skirt.json")


def _unfilmed(days: int) -> Episode:
    """The large episode with nothing filmed and so many days to film on."""
    large = large_episode()
    shots = tuple(changed(shot, filmed=None) for shot in large.shots)
    first = date(2027, 1, 4)
    shoot_days = tuple(
        ShootDay(day=first + timedelta(number), starts="09:00", ends="18:00")
        for number in range(days)
    )
    return changed(large, shots=shots, shoot_days=shoot_days)


def _rows(name: str, episode: Episode) -> Iterator[Row]:
    plan = evaluate(episode)
    told: list[float] = []
    start = time.perf_counter()
    found: PlannedDays = planned_days(
        plan, seconds=SECONDS, progress=lambda _: told.append(time.perf_counter() - start)
    )
    took = time.perf_counter() - start
    off = 100 * (1 - found.bound / found.minutes) if found.minutes else 0.0
    proven = "proven" if found.is_proven else f"{off:.1f} % open"
    left = f", {len(found.unplaced)} shots fit nowhere" if found.unplaced else ""
    yield f"{name}: first plan", f"{told[0]:.2f} s", "1 s"
    yield f"{name}: best plan{left}", f"{proven}, {took:.1f} s", "3 % in 10 s"
    yield (
        f"{name}: changes of place, in build order",
        f"{found.changes}, {found.changes_in_build_order}",
        "",
    )


def shooting_rows() -> Iterator[Row]:
    for file in DEMOS:
        episode = read_episode((files_dir("demo_data") / file).read_bytes())
        yield from _rows(episode.title, episode)
    yield from _rows(f"{STEPS} steps, {SHOTS} shots on 12 days", _unfilmed(12))
