"""A cloth that is at hand, held against its lay."""

import pytest

from webapp.cloth.cloths import OtherCloth
from webapp.plan.cloth_at_hand import at_hand, cloth_shorter_than_the_lay
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.lays import LayPlan
from webapp.plan.results import LooseThread, Place
from webapp.units import both


def _with(smock: Episode, **fields: object) -> Episode:
    cloth = changed(smock.cloths[0], **fields)
    return changed(smock, sizes=(), cloths=(cloth, *smock.cloths[1:]))


def _lay(episode: Episode) -> LayPlan:
    return evaluate(episode).lays[0]


def _found(episode: Episode) -> list[LooseThread]:
    return list(cloth_shorter_than_the_lay(evaluate(episode)))


def _shown(mm: float) -> str:
    return both(mm, "cm", fine=True)


@pytest.fixture
def squared(smock: Episode) -> Episode:
    """The smock's linen with 10 % shrinkage and 9 cm cut off to square its ends."""
    return _with(smock, shrinks_along=10, squaring="9 cm", spare="none")


def _lengths(episode: Episode) -> tuple[float, float]:
    """By hand: what is left after the wash, over what a length becomes in it, 90 parts of 100."""
    lay = _lay(episode).lay
    assert lay is not None
    return lay.length_mm / 0.9, (lay.length_mm + 90) / 0.9


def test_what_is_wanted_is_counted_before_the_first_wash(squared: Episode) -> None:
    found = at_hand(_lay(_with(squared, have="3 m")))
    assert found is not None
    assert (found.lay_mm, found.total_mm) == pytest.approx(_lengths(squared))
    assert found.have_mm == 3000


def test_less_than_the_bare_lay_must_be_mended(squared: Episode) -> None:
    lay_mm, total_mm = _lengths(squared)
    have = lay_mm - 20
    (thread,) = _found(_with(squared, have=f"{have} mm"))
    name = squared.cloths[0].name
    assert (thread.severity, thread.place) == ("must", Place("cloth", item=name))
    assert thread.sentence == (
        f"{name}: you have {_shown(have)}, and the lay alone takes {_shown(lay_mm)}, before the "
        f"first wash; {_shown(total_mm)} with all that should be bought: "
        f"{_shown(total_mm - have)} short."
    )


def test_enough_for_the_lay_alone_is_worth_a_look(squared: Episode) -> None:
    lay_mm, total_mm = _lengths(squared)
    have = lay_mm + 20
    (thread,) = _found(_with(squared, have=f"{have} mm"))
    assert thread.severity == "should"
    assert f"you have {_shown(have)}, which holds the lay of {_shown(lay_mm)}" in thread.sentence
    assert f"{_shown(total_mm)} with the spare and what squares the ends" in thread.sentence


def test_all_that_is_wanted_is_no_thread(squared: Episode) -> None:
    _, total_mm = _lengths(squared)
    assert _found(_with(squared, have=f"{total_mm} mm")) == []
    assert _found(_with(squared, have="9 m")) == []


def test_a_cloth_that_does_not_shrink_says_nothing_of_the_wash(squared: Episode) -> None:
    (thread,) = _found(_with(squared, shrinks_along=0, have="10 cm"))
    assert "wash" not in thread.sentence


@pytest.mark.parametrize("have", ["", "a bit", "2"])
def test_what_is_not_known_is_no_thread_and_lays_nothing(
    smock: Episode, monkeypatch: pytest.MonkeyPatch, have: str
) -> None:
    def laid(_: LayPlan) -> None:
        raise AssertionError("a lay was made for nothing")

    monkeypatch.setattr(LayPlan, "purchase", property(laid))
    monkeypatch.setattr(LayPlan, "lay", property(laid))
    assert _found(_with(smock, have=have)) == []


def test_a_cloth_that_cannot_be_laid_is_told_elsewhere(smock: Episode) -> None:
    assert _found(_with(smock, width="40 cm", have="1 m")) == []


def test_another_cloth_at_hand_is_held_against_its_own_lay(smock: Episode) -> None:
    base = smock.cloths[0]
    other = OtherCloth(name="Stash wool", width=base.width, instead_of=base.name, have="30 cm")
    episode = changed(_with(smock), other_cloths=(other,))
    (thread,) = _found(episode)
    assert (thread.severity, thread.place) == ("must", Place("other-cloths", item="Stash wool"))
    assert thread.sentence.startswith("Stash wool: you have 30 cm (11 13/16 in), and the lay alone")
    assert _found(changed(episode, other_cloths=(changed(other, have="9 m"),))) == []
    assert _found(changed(episode, other_cloths=(changed(other, have=""),))) == []
