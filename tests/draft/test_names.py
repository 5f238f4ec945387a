"""Names as typed, what is lacking, and which trouble is told first."""

import pytest

from webapp.draft.names import (
    Figures,
    Quantity,
    edge_called,
    edges_called,
    gathered,
    listed,
    name_key,
)
from webapp.errors import FigureError, WaitingError


def _raise(error: Exception) -> float:
    raise error


def test_a_name_is_looked_up_without_regard_to_capitals_and_spaces() -> None:
    assert name_key("  Skirt  front . Hem ") == "skirt front.hem"


def test_a_name_that_is_there_is_never_lacking() -> None:
    names = Figures({"waist": Quantity(700), "front.hem": Quantity(300)})
    names.lacking = {"waist", "hip", "front."}
    assert [names.lacks(n) for n in ("Waist", "HIP", "Front.hem", "front.side", "back.hem")] == [
        False, True, False, True, False
    ]  # fmt: skip


def test_only_pieces_are_handed_to_the_next_garment() -> None:
    names = Figures({"waist": Quantity(700), "front.hem": Quantity(300)})
    names.lacking = {"hip", "back."}
    handed = names.of_pieces()
    assert handed == {"front.hem": Quantity(300)}
    assert handed.lacking == {"back."}
    assert Figures(handed).lacking == {"back."}


def test_an_edge_is_not_called_an_edge_twice() -> None:
    assert edge_called("hem") == "hem edge"
    assert edge_called("front edge") == "front edge"
    assert edge_called("Lower Edge") == "Lower Edge"
    assert edge_called("knowledge") == "knowledge edge"


def test_several_edges_are_called_so_once_unless_one_of_them_is() -> None:
    assert edges_called(["hem"]) == "hem edge"
    assert edges_called(["neck", "top", "side"]) == "neck, top and side edges"
    assert edges_called(["hem", "front edge"]) == "hem edge and front edge"
    assert listed([]) == ""


def test_what_only_waits_is_told_last() -> None:
    waiting, wrong = WaitingError("It waits."), FigureError("It is wrong.")
    with pytest.raises(FigureError, match="wrong"):
        gathered((lambda: _raise(waiting), lambda: 1.0, lambda: _raise(wrong)))
    with pytest.raises(WaitingError, match="waits"):
        gathered((lambda: _raise(waiting), lambda: 1.0))
    assert gathered((lambda: 1.0, lambda: 2.0)) == [1, 2]
