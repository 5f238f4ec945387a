"""The days that are planned in these tests, and waiting for the search."""

import time
from datetime import date, datetime

from webapp.jobs import Job
from webapp.pages.house import House
from webapp.pages.shoot_days import job_key

IN_PART = {"HX-Request": "true"}
FIRST, SECOND = date(2027, 1, 4), date(2027, 1, 5)
NOW = datetime(2027, 1, 4, 13, 10)


def shots_of(house: House, smock: str) -> list[tuple[str, ...]]:
    return [day.shots for day in house.store.get(smock).shoot_days]


def ended(house: House, smock: str) -> Job:
    for _ in range(1_800):
        job = house.jobs.get(job_key(smock))
        assert job is not None
        if not job.is_going_on:
            return job
        time.sleep(0.05)
    raise AssertionError("Planning did not end within 90 s.")
