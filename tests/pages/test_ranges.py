"""A figure far outside the range of its choice is told where it stands; nothing is refused."""

import pytest
from starlette.testclient import TestClient

from webapp.draft.expressions import Names, Quantity
from webapp.draft.fittings import ChoiceChange
from webapp.draft.recipe import Choice
from webapp.pages.house import House
from webapp.pages.ranges import beyond_its_choice
from webapp.plan.edits import changed, with_piece
from webapp.plan.episode import Episode, Fitting

GARMENT = "lighthouse-smock"
DEPTH = Choice(name="neck depth", value="9 cm", least="5 cm", most="22 cm")
NAMES: Names = {"neck depth": Quantity(90.0, 1), "bust": Quantity(900.0, 1)}


@pytest.mark.parametrize(
    ("figure", "told"),
    [
        ("neck depth", ""),
        ("neck depth + 12 cm", ""),
        ("neck depth + 30 cm", "39 cm (15 3/8 in) is more than makes sense: neck depth is at most "
         "22 cm (8 5/8 in)."),
        ("neck depth - 6 cm", "3 cm (1 3/16 in) is less than makes sense: neck depth is at least "
         "5 cm (1 15/16 in)."),
        ("neck depth / 4", ""),  # a part of it is not the choice
        ("neck depth * 4", ""),
        ("neck depth + bust", ""),
        ("39 cm", ""),
        ("nowhere", ""),
    ],
)  # fmt: skip
def test_a_choice_and_a_little_more_keeps_the_range_of_the_choice(figure: str, told: str) -> None:
    assert beyond_its_choice(figure, (DEPTH,), NAMES, "cm").replace("\xa0", " ") == told


def test_a_neck_30_cm_deeper_is_told_on_the_piece_and_in_a_fitting(
    client: TestClient, house: House, smock: str
) -> None:
    def deeper(episode: Episode) -> Episode:
        piece = next(one for one in episode.garments[0].pieces if one.name == "Front")
        at = next(n for n, move in enumerate(piece.moves) if move.kind == "scoop")
        scoop = changed(piece.moves[at], depth="front neck depth + 30 cm")
        moves = (*piece.moves[:at], scoop, *piece.moves[at + 1 :])
        change = ChoiceChange(garment=GARMENT, choice="front neck depth", value="39 cm")
        fitting = Fitting(id="deep", title="Deep", changes=(change,))
        episode = changed(episode, fittings=(fitting,))
        return with_piece(episode, GARMENT, "Front", lambda one: changed(one, moves=moves))

    house.store.change(smock, "deeper", deeper)
    told = (
        "39 cm (15 3/8 in) is more than makes sense: front neck depth is at most 22 cm (8 5/8 in)."
    )
    page = f"/episodes/{smock}/draft?garment={GARMENT}&piece=Front"
    assert told in client.get(page).text.replace("\xa0", " ")
    assert told in client.get(f"/episodes/{smock}/fittings").text.replace("\xa0", " ")
