"""What is not planned at all yet is named, in the order of the work."""

import pytest

from tests.plan.test_day_threads import ALL, EPISODE, _day, _on
from webapp.filming.shots import Filmed
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.missing import missing

DATED = Brief(publish_date=_day(()).day)
NO_STEPS = changed(EPISODE.garments[0], steps=())
FILMED = tuple(changed(shot, filmed=Filmed()) for shot in EPISODE.shots)


@pytest.mark.parametrize(
    ("episode", "pages"),
    [
        (_on(_day(ALL), brief=DATED), ()),
        (_on(_day(ALL)), ("running-time",)),
        (changed(EPISODE, brief=DATED, shoot_days=()), ("days",)),
        (changed(EPISODE, brief=DATED, shoot_days=(), shots=FILMED), ()),
        (changed(EPISODE, brief=DATED, shoot_days=(), shots=()), ("shots",)),
        (
            changed(_on(_day(()), brief=DATED), shots=(), garments=(NO_STEPS,)),
            ("build", "shots"),
        ),
        (
            changed(EPISODE, shoot_days=(), shots=(), garments=()),
            ("draft", "shots", "running-time"),
        ),
    ],
)
def test_what_is_missing_is_named_where_it_is_begun(
    episode: Episode, pages: tuple[str, ...]
) -> None:
    assert tuple(one.place.page for one in missing(evaluate(episode))) == pages
