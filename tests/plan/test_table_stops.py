"""What is read at the cutting table: an edge of which half is drawn is told as half."""

from webapp.plan.evaluate import evaluate
from webapp.plan.table_stops import stops_in_build_order
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode


def test_an_edge_that_goes_on_over_the_fold_is_told_as_its_half() -> None:
    """By the recipe: bands of 39 and 61 cm, and skirts on the fold whose waists are as long."""
    demo = files_dir("demo_data") / "episode-4-market-day-skirt.json"
    stops = stops_in_build_order(evaluate(read_episode(demo.read_bytes())))
    told = next(dict(stop.figures) for stop in stops if stop.title == "Check the curves")
    assert [(one.name, one.cm, one.note) for one in told["Measure"]] == [
        ("Skirt front waist", "19.5 cm", "half, from the fold"),
        ("Skirt back waist", "30.5 cm", "half, from the fold"),
        ("Front band length", "39 cm", ""),
        ("Back band length", "61 cm", ""),
    ]
