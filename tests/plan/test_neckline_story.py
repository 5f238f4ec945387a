"""A neck is cut shallow and deepened at two fittings: everything that quotes it follows.

Common practice, no source: a neckline is cut shallow first and deepened after it has been tried on,
for cloth can be taken away and never put back.
"""

import json
import math
import re
from dataclasses import dataclass
from typing import Any

import pytest

from webapp.draft.fittings import ChoiceChange, FittingChange
from webapp.draft.recipe import PieceRecipe
from webapp.errors import RecipeError
from webapp.handouts.companion import companion_html
from webapp.plan.comparing import compare
from webapp.plan.edits import changed, with_choice, with_piece
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.fittings import (
    fitting_plans,
    tried,
    with_change,
    with_draft_back,
    with_fitting,
    with_fitting_made,
    with_new_fitting,
)
from webapp.plan.plan_json import plan_json

SMOCK = "lighthouse-smock"
DEPTHS = ("5.3 cm", "8.1 cm", "10.7 cm")  # as cut, after the first try-on, after the second
HALF_WIDTH_MM = 125.0  # the smock's choice, 12.5 cm: the neck ends there on the top line


def deepened(episode: Episode, title: str, *changes: FittingChange) -> Episode:
    episode = with_new_fitting(episode, title)
    fitting = episode.fittings[-1].id
    for change in changes:
        episode = with_change(episode, fitting, change)
    return episode


def depth(value: str) -> ChoiceChange:
    return ChoiceChange(garment=SMOCK, choice="front neck depth", value=value)


def told(episode: Episode, words: str) -> str:
    """The narration as spoken that has these words."""
    (said,) = (
        shot.narration.plain for shot in evaluate(episode).shots if words in shot.shot.narration
    )
    return said


def text_of(html: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", "", html).split())


def pieces_of(episode: Episode) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = plan_json(evaluate(episode))["pieces"]
    return found


def neck_mm(pieces: list[dict[str, Any]], depth_mm: float) -> float:
    """The front neck by its own points: of the seam line, those within its depth and width."""
    (front,) = (piece for piece in pieces if piece["name"] == "Front")
    points = front["seam_outline_mm"]
    on_it = [x <= HALF_WIDTH_MM + 1e-6 and y <= depth_mm + 1e-6 for x, y in points]
    start = next(i for i in range(len(points)) if on_it[i] and not on_it[i - 1])
    run = [points[(start + i) % len(points)] for i in range(sum(on_it))]
    for end, corner in zip(
        sorted((run[0], run[-1])), ([0, depth_mm], [HALF_WIDTH_MM, 0]), strict=True
    ):
        assert end == pytest.approx(corner, abs=1e-6)
    return sum(math.dist(run[i], run[i + 1]) for i in range(len(run) - 1))


@dataclass(frozen=True)
class Story:
    """The episode as first drafted, and after each fitting."""

    first: Episode
    second: Episode
    last: Episode

    @property
    def stages(self) -> tuple[Episode, ...]:
        return self.first, self.second, self.last


@pytest.fixture(scope="module")
def story(smock: Episode) -> Story:
    first = with_choice(changed(smock, sizes=()), SMOCK, "front neck depth", DEPTHS[0])
    noted = deepened(first, "Deepen the front neck", depth(DEPTHS[1]))
    second = with_fitting_made(noted, "deepen-the-front-neck")
    noted = deepened(
        second,
        "Lower still, and the shoulder dropped",
        depth(DEPTHS[2]),
        ChoiceChange(garment=SMOCK, choice="shoulder drop", value="4.5 cm"),
    )
    return Story(first, second, with_fitting_made(noted, noted.fittings[-1].id))


def test_each_fitting_is_a_revision(story: Story) -> None:
    assert [(one.number, one.title, one.fitting) for one in story.last.revisions] == [
        (0, "First draft", ""),
        (1, "Deepen the front neck", "deepen-the-front-neck"),
        (2, "Lower still, and the shoulder dropped", "lower-still-and-the-shoulder-dropped"),
    ]
    assert [one.revision for one in fitting_plans(evaluate(story.last))] == [1, 2]


def test_the_neck_edge_grows_each_time_by_its_own_points(story: Story) -> None:
    lengths = []
    for episode, typed in zip(story.stages, DEPTHS, strict=True):
        pieces = pieces_of(episode)
        own_mm = neck_mm(pieces, 10 * float(typed.removesuffix(" cm")))
        (front,) = (piece for piece in pieces if piece["name"] == "Front")
        (edge,) = (edge for edge in front["edges"] if edge["name"] == "neck")
        assert own_mm == pytest.approx(edge["length_mm"], abs=0.2)  # chords of its curve
        lengths.append(own_mm)
    assert lengths[0] < lengths[1] < lengths[2]
    # At least the straight line from corner to corner, at most the two legs of its corner.
    assert math.hypot(125, 107) < lengths[2] < 125 + 107


def test_the_head_does_not_pass_at_first_and_passes_at_the_end(story: Story) -> None:
    held = []
    for episode in story.stages:
        (check,) = (c for c in evaluate(episode).drafts[0].checks if c.name == "Neck opening")
        held.append(check.holds)
    assert (held[0], held[-1]) == (False, True)
    words = compare(story.last.revisions[0], story.last.revisions[2]).words
    assert "The check “Neck opening” holds now." in words


def test_the_narration_follows(story: Story) -> None:
    for episode, shown in zip(
        story.stages,
        ("5.3 cm (2 1/16 in)", "8.1 cm (3 3/16 in)", "10.7 cm (4 3/16 in)"),
        strict=True,
    ):
        assert shown in told(episode, "The draft says {front neck depth}")
        assert shown in told(episode, "We cut the front neck {Front.neck depth} deep")


def test_the_companion_shows_the_last_figure_and_not_the_first(story: Story) -> None:
    before, after = (
        text_of(companion_html(evaluate(episode))) for episode in (story.first, story.last)
    )
    assert "5.3 cm (2 1/16 in)" in before
    assert "5.3 cm (2 1/16 in)" not in after
    assert "10.7 cm (4 3/16 in)" in after


def test_the_binding_that_is_worked_out_from_the_neck_still_agrees(story: Story) -> None:
    for episode in story.stages:
        (seam,) = (s for s in evaluate(episode).drafts[0].seams if s.name == "neck seam")
        assert seam.agrees
    lengths = [evaluate(episode).figures_mm["neck binding.length"] for episode in story.stages]
    assert lengths == sorted(set(lengths))


def test_a_binding_cut_to_the_old_neck_is_told(smock: Episode) -> None:
    """Both the loose threads and the comparison of the revisions tell it."""

    def as_cut(piece: PieceRecipe) -> PieceRecipe:
        band = changed(piece.moves[0], length="60 cm")  # the neck of the draft as it is
        return changed(piece, moves=(band,))

    episode = with_piece(smock, SMOCK, "Neck binding", as_cut)
    assert all(seam.agrees for seam in evaluate(episode).drafts[0].seams)
    episode = deepened(episode, "Deeper", depth("12 cm"))
    episode = with_fitting_made(episode, "deeper")
    threads = evaluate(episode).loose_threads
    assert any(one.sentence.startswith("neck seam: Neck binding join is 60 cm") for one in threads)
    words = compare(episode.revisions[0], episode.revisions[1]).words
    assert any(word.startswith("A seam does not agree any more. neck seam:") for word in words)


def test_going_back_to_the_first_draft_gives_the_same_pieces(story: Story) -> None:
    back = with_draft_back(story.last, 0)
    assert json.dumps(pieces_of(back)) == json.dumps(pieces_of(story.first))
    assert [one.number for one in back.revisions] == [0, 1, 2, 3]
    assert (back.revisions[3].title, back.revisions[3].back_to) == ("Back to First draft", 0)
    assert back.revisions[:3] == story.last.revisions
    assert "5.3 cm (2 1/16 in)" in told(back, "The draft says {front neck depth}")


def test_a_neck_deeper_than_the_piece_stays_a_note(story: Story) -> None:
    episode = deepened(story.last, "Too deep", depth("80 cm"))
    fitting = episode.fittings[-1]
    assert fitting.changes == (depth("80 cm"),)
    (found,) = (one for one in fitting_plans(evaluate(episode)) if one.fitting == fitting)
    assert (found.status, found.revision) == ("cannot be cut", None)
    assert re.match(r"Front, scoop: .*80 cm", found.why[0])
    assert found.why == tried(episode, fitting).problems
    with pytest.raises(RecipeError) as refused:
        with_fitting_made(episode, fitting.id)
    assert refused.value.sentence == found.why[0]
    assert episode.garments == story.last.garments
    assert pieces_of(episode) == pieces_of(story.last)
    words = with_fitting(episode, fitting.id, lambda one: changed(one, found="Far too deep."))
    assert words.fittings[-1].found == "Far too deep."
