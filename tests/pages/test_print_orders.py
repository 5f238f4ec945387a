"""What a printed file is made from decides whether it is the same; what its file is called."""

from datetime import date

import pytest

from webapp.draft.recipe import Body
from webapp.pages.print_orders import Order, attachment, named, state_of
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.print_choices import PrintChoices

SMOCK = Episode(
    id="smock", title="The Smock", body=Body(name="As filmed"), sizes=(Body(name="Size 16"),)
)


def _chosen(**choices: object) -> Episode:
    return changed(SMOCK, print_choices=PrintChoices.model_validate(choices))


def test_the_same_episode_is_the_same_file_and_another_one_is_not() -> None:
    key = Order("companion", SMOCK).key
    assert Order("companion", changed(SMOCK)).key == key
    assert Order("companion", changed(SMOCK, title="Another")).key != key
    assert Order("pattern", SMOCK).key != key
    assert Order("companion", changed(SMOCK, bought=("x",))).key == key  # no sheet shows that
    assert Order("all", changed(SMOCK, bought=("x",))).key != Order("all", SMOCK).key


def test_a_choice_makes_another_file_only_where_it_shows() -> None:
    butt = _chosen(edges="butt")
    assert Order("pattern", butt).key != Order("pattern", SMOCK).key
    assert Order("companion", butt).key == Order("companion", SMOCK).key
    assert state_of(butt) == state_of(SMOCK)
    assert state_of(_chosen(sizes=("Size 16",))) != state_of(SMOCK)


@pytest.mark.parametrize(
    ("order", "name"),
    [
        (Order("companion", SMOCK), "smock-companion-a4.pdf"),
        (
            Order("companion", _chosen(drawn_for="Size 16", paper="letter")),
            "smock-companion-size-16-letter.pdf",
        ),
        (Order("pattern", _chosen(nested=True)), "smock-pattern-all-sizes-a4.pdf"),
        (Order("pattern-sheet", SMOCK), "smock-pattern-sheet-84.1cm.pdf"),
        (
            Order("pattern-sheet", _chosen(roll_width="36 in")),
            "smock-pattern-sheet-91.4cm.pdf",
        ),
        (
            Order("pattern-sheet", _chosen(roll_width="36", first_unit="in")),
            "smock-pattern-sheet-36in.pdf",
        ),
        (Order("pattern", SMOCK, pages="letter"), "smock-pattern-letter.pdf"),
        (Order("worksheet", SMOCK), "smock-worksheet-blank-a4.pdf"),
        (Order("worksheet", SMOCK, size="Size 16"), "smock-worksheet-size-16-a4.pdf"),
        (Order("call-sheet", SMOCK), "smock-call-sheet-a4.pdf"),
        (
            Order("call-sheet", SMOCK, day=date(2027, 1, 29)),
            "smock-call-sheet-2027-01-29-a4.pdf",
        ),
        (Order("all", SMOCK), "smock-all-files.zip"),
        (Order("companion", changed(SMOCK, title="!")), "smock-companion-a4.pdf"),
    ],
)
def test_a_file_says_what_it_is(order: Order, name: str) -> None:
    assert order.file_name == name


def test_what_the_pack_holds_alike_is_known() -> None:
    assert Order("pattern", SMOCK).is_file("pattern-a4.pdf")
    assert not Order("pattern", SMOCK).is_file("pattern-letter.pdf")
    assert Order("pattern", SMOCK, pages="letter").is_file("pattern-letter.pdf")
    assert not Order("worksheet", SMOCK, size="Size 16").is_file("worksheet.pdf")


def test_a_title_in_any_script_is_told_as_rfc_6266_says() -> None:
    """RFC 6266, 5, with RFC 8187, 3.2: beyond ASCII the name stands again, in UTF-8, per cent
    encoded; what cannot read that takes the plain one."""
    name = named(changed(SMOCK, title='Mäntel & "Röcke" नमूना'), "captions.vtt")
    assert name == "mäntel-röcke-नमूना-captions.vtt"
    told = attachment(name)["content-disposition"]
    assert told.startswith('attachment; filename="m-ntel-r-cke-')
    assert "; filename*=UTF-8''m%C3%A4ntel-r%C3%B6cke-%E0%A4%A8" in told
    assert told.isascii()
    assert attachment("plain.pdf") == {"content-disposition": 'attachment; filename="plain.pdf"'}
