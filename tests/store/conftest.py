"""An episode with something in every part, and a store in a fresh folder."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest

from webapp.cloth.cloths import (
    EpisodeCloth,
    KeptLay,
    KeptPlacement,
    KeptWay,
    KeptWays,
    KeptWidth,
)
from webapp.draft.construction import EdgeUse, Minutes, Step, Work
from webapp.draft.recipe import Body, Notion, Recipe
from webapp.filming.shots import Shot
from webapp.plan.episode import Brief, Episode
from webapp.store.database import database_path, open_database
from webapp.store.repository import EpisodeStore

ROOT = Path(__file__).parents[2]
SMOCK = ROOT / "webapp/draft/starters/drop-shoulder-smock.json"


@pytest.fixture(scope="session")
def smock() -> Episode:
    """The Lighthouse Smock, with text that JSON must take care with."""
    recipe = Recipe.model_validate_json(SMOCK.read_text(encoding="utf-8"))
    cut = Step(
        id="cut-neck",
        name="Cut the neck",
        words="Cut along the line: {Front.neck width} “wide”.\nThen stop \\ look.",
        one_way=True,
        spare="A second front from the offcuts",
        cautions=("blades",),
        work=(
            Work(kind="cut", edges=(EdgeUse(edge="Front.neck", times=2),)),
            Work(kind="try on", minutes=Minutes(low=2, likely=3.5, high=6)),
        ),
    )
    bind = Step(id="bind-neck", name="Bind the neck", after=("cut-neck",))
    placement = KeptPlacement(
        name="Front", copy_number=0, turn_degrees=180, flipped=True, x_mm=0.1 + 0.2, y_mm=1e-7
    )
    way = KeptWay(metres="1.7 m", yards="1 7/8 yd", best=True, why_more=("It is “wide”.",))
    width = KeptWidth(cm="140 cm", inch="54–56 in", mm=1371.6, sizes=((way, KeptWay(problem="-")),))
    return Episode(
        id="lighthouse-smock",
        title="The Lighthouse Smock — “½ a day”",
        channel="Gullwing Cottage Sewing",
        series="Small Wardrobe",
        number=3,
        first_unit="in",
        brief=Brief(
            promise="A smock 🧵",
            target_seconds=1500,
            publish_date=date(2026, 5, 1),
            notes="é\t\u2028",
        ),
        body=Body(name="Invented, medium", measures={"bust": "96 cm", "head": "22 1/2 in"}),
        sizes=(Body(name="Small", measures={"bust": "84 cm"}), Body(name="Large")),
        garments=(recipe.model_copy(update={"steps": (cut, bind)}),),
        cloths=(EpisodeCloth(shrinks_along=4.5), EpisodeCloth(name="Binding cloth", one_way=True)),
        notions=(Notion(name="Thread", amount="1 reel", why="For {Front.hem} and more"),),
        shots=(
            Shot(
                id="neck-cut",
                step="cut-neck",
                title="Neck is cut",
                takes=2,
                narration="{Front.neck}",
            ),
            Shot(id="hello", kind="talking", title="Hello", screen_seconds=20),
        ),
        kept_lays=(KeptLay(cloth="Main cloth", key="0123456789abcdef", placements=(placement,)),),
        kept_ways=(
            KeptWays(
                cloth="Main cloth",
                key="0123456789abcdef",
                sizes=("Small",),
                ways=(("open", False), ("folded", False)),
                widths=(width,),
            ),
        ),
    )


@pytest.fixture
def store(tmp_path: Path) -> Iterator[EpisodeStore]:
    """An empty store whose clock moves on a minute at each look."""
    minutes = count()
    engine = open_database(database_path(tmp_path))
    start = datetime(2026, 5, 1, 9, tzinfo=UTC)
    yield EpisodeStore(engine, lambda: start + timedelta(minutes=next(minutes)))
    engine.dispose()
