"""The companion's other cloths: shown when there are any, with the figures of their plans."""

from collections.abc import Callable
from typing import Any

from webapp.handouts.companion import companion_html, companion_of
from webapp.plan.other_cloths import other_cloth_plans
from webapp.plan.results import Plan

HEADING = "Other cloths that would do"
WithSmock = Callable[[Callable[[dict[str, Any]], None]], Plan]


def _without(episode: dict[str, Any]) -> None:
    del episode["other_cloths"]


def test_a_plan_without_other_cloths_says_nothing_of_them(smock_with: WithSmock) -> None:
    plan = smock_with(_without)
    assert companion_of(plan).other_cloths == ()
    assert HEADING not in companion_html(plan)


def test_each_is_told_with_its_changes_lengths_and_needle(plan: Plan, text: str) -> None:
    assert text.count(HEADING) == 2  # in the contents and above them
    for told in (
        "Body ease, Lighthouse Smock 26 cm (10 1⁄4 in) 18 cm (7 1⁄8 in)",
        "2.5 cm (1 in) and 1 cm (3⁄8 in) turned in, hem folded twice",
        "2.8 cm (1 1⁄8 in), hem folded once",
        "its edge neatened",
        "Needle 100/16, universal.",
        "Needle 90/14, ballpoint.",
        "stretches 30 % across",
        "Nothing changes in the draft.",
    ):
        assert told.replace("⁄", "/") in text.replace("⁄", "/"), told
    for each in other_cloth_plans(plan):
        for row in each.rows:
            assert row.purchase
            assert f"{row.purchase.metres} ({row.purchase.yards})" in text.replace("⁄", "/")


def test_every_size_has_its_length(plan: Plan) -> None:
    sizes = {plan.episode.body.name, *(body.name for body in plan.episode.sizes)}
    for sheet in companion_of(plan).other_cloths:
        ((name, lengths),) = sheet.purchases
        assert name == sheet.name
        told = [size for row in lengths for size in row.sizes]
        assert set(told) == sizes and len(told) == len(sizes)


def test_another_cloth_that_changes_in_length_is_told_too(smock_with: WithSmock) -> None:
    def wider_neck(episode: dict[str, Any]) -> None:
        choice = {"garment": "lighthouse-smock", "choice": "neck half width", "value": "17 cm"}
        episode["other_cloths"][0]["choices"].append(choice)

    (wool, _) = companion_of(smock_with(wider_neck)).other_cloths
    assert [name for name, _ in wool.purchases] == ["Wool flannel", "Binding cloth"]


def test_what_cannot_be_laid_says_why_and_what_would_do(smock_with: WithSmock) -> None:
    def narrow(episode: dict[str, Any]) -> None:
        episode["other_cloths"][0]["width"] = "20 cm"
        episode["other_cloths"][1]["instead_of"] = "Felt"

    plan = smock_with(narrow)
    (wool,) = companion_of(plan).other_cloths  # what stands in for nothing is left out
    ((_, lengths),) = wool.purchases
    assert sum(len(row.sizes) for row in lengths) == len(plan.sizes)
    for row in lengths:
        assert row.buy is None
        assert row.why.startswith("This cloth is too narrow: ")
        assert row.why.endswith(" wide would do.")


def test_the_conditions_of_both_lengths_are_told(smock_with: WithSmock) -> None:
    def other_ways(episode: dict[str, Any]) -> None:
        episode["sizes"] = []
        episode["cloths"][0] |= {"spare": "smallest", "one_way": True}
        episode["other_cloths"][0] |= {"laid": "open", "shrinks_along": 0, "one_way": False}

    plan = smock_with(other_ways)
    (wool, _) = companion_of(plan).other_cloths
    assert wool.held_under == (
        ("Wool flannel", "opened out, pieces either way up, nothing for shrinking, no spare"),
        (
            "Main cloth",
            "opened out, every piece the same way up, 4 % for shrinking, "
            "the smallest piece once more",
        ),
    )
    html = companion_html(plan)
    assert "The length of Wool flannel: opened out, pieces either way up" in html
    assert "That of Main cloth: opened out, every piece the same way up" in html


def test_hems_kept_as_drafted_are_not_explained(smock_with: WithSmock) -> None:
    def keep(episode: dict[str, Any]) -> None:
        episode["sizes"] = []
        episode["other_cloths"][0]["hems"] = "as drafted"

    (wool, _) = companion_of(smock_with(keep)).other_cloths
    assert (wool.hems, wool.hem_why) == ((), ())


def test_markup_typed_into_a_text_stays_text(smock_with: WithSmock) -> None:
    """How long words are printed: test_every_file."""

    def type_it(episode: dict[str, Any]) -> None:
        episode["sizes"] = []
        for place, cloth in enumerate(episode["other_cloths"]):
            cloth["name"] = f"<b>Cloth {place}</b>"
            cloth["effect"] = "<script>x</script> drape"

    html = companion_html(smock_with(type_it))
    assert "<script>" not in html and "<b>Cloth" not in html
    assert html.count("&lt;script&gt;x&lt;/script&gt; drape") == 2
