"""What is new on the cover and what would mislead, on a plan of one piece printed once."""

from datetime import date
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from tests.handouts.read_pages import pages_of
from webapp.draft.construction import EdgeUse, Minutes, Step, Work
from webapp.draft.recipe import Body, Choice, FinishedMeasure, PieceRecipe, Recipe, Seam
from webapp.handouts.companion import companion_of, companion_pdf
from webapp.handouts.companion_view import Companion
from webapp.plan.editions import with_edition
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.print_choices import PrintChoices

MINUTES = Minutes(low=50, likely=60, high=80)
BAG = Recipe(
    id="bag",
    name="Bag",
    measures=("hip",),
    choices=(Choice(name="bag ease", value="8 cm"),),
    finished=(FinishedMeasure(name="Width", figure="hip / 2 + bag ease"),),
    pieces=(
        PieceRecipe.model_validate(
            {
                "name": "Side",
                "cut_count": 2,
                "moves": [{"kind": "rectangle", "width": "hip / 2 + bag ease", "length": "40 cm"}],
            }
        ),
    ),
    steps=(
        Step(id="sew", name="Sew", words="As in step 2; there is no step 7.", rest_hours=3),
        Step(id="wait", name="Wait", work=(Work(kind="other", minutes=MINUTES),)),
    ),
)
SIZES = tuple(Body(name=name, measures={"hip": f"{cm} cm"}) for name, cm in (("S", 90), ("L", 110)))
EPISODE = Episode(
    id="bag",
    title="A bag",
    garments=(BAG,),
    body=Body(name="Wren", measures={"hip": "98 cm"}),
    sizes=SIZES,
)
WRONG = changed(
    BAG,
    seams=(
        Seam(name="rim", one=(EdgeUse(edge="Side.hem"),), other=(EdgeUse(edge="Side.left side"),)),
    ),
)


def _sheet(**choices: Any) -> Companion:
    return companion_of(evaluate(changed(EPISODE, print_choices=PrintChoices(**choices))))


@pytest.fixture(scope="module")
def draft() -> Any:
    """The bag with edges that do not meet, in inches, printed."""
    choices = PrintChoices(first_unit="in")
    tight = changed(BAG, choices=(Choice(name="bag ease", value="7 cm"),))
    first = with_edition(evaluate(changed(EPISODE, garments=(tight,))), date(2027, 1, 12))
    episode = changed(first, garments=(WRONG,), first_unit="in", print_choices=choices)
    return PdfReader(BytesIO(companion_pdf(evaluate(episode))))


def test_a_draft_says_so_on_every_page_and_why_on_its_cover(draft: Any) -> None:
    pages = [" ".join(page.extract_text().split()) for page in draft.pages]
    assert len(pages) > 2
    assert all("Draft edition: do not cut by it yet" in page for page in pages)
    assert "rim: " in pages[0] and "is left over" in pages[0]


def test_every_page_says_which_edition_it_is_of(draft: Any) -> None:
    for page in draft.pages[1:]:
        assert "A bag, Draft of edition 2" in " ".join(page.extract_text().split())


def test_the_paper_goes_with_the_unit_that_stands_first(draft: Any) -> None:
    # 8 1/2 in of 72 pt each (ANSI/ASME Y14.1, size A; ISO 32000-1, 8.3.2.3).
    assert float(draft.pages[0].mediabox.width) == pytest.approx(8.5 * 72, abs=0.1)
    assert _sheet().paper == "a4"
    assert _sheet(paper="letter").paper == "letter"


def test_every_link_leads_somewhere_in_the_sheet(draft: Any) -> None:
    there = set(draft.named_destinations)
    links = [
        note.get_object()
        for page in draft.pages
        for note in page.get("/Annots", [])
        if note.get_object()["/Subtype"] == "/Link"
    ]
    ends = {str(link.get("/Dest") or link["/A"]["/D"]) for link in links}
    assert {"sizes", "cutting", "making-1", "step-2"} <= ends <= there
    assert "step-7" not in ends


def test_what_holds_together_is_no_draft() -> None:
    assert _sheet().misleading == ()


def test_the_time_is_that_of_the_work_and_rests_are_told_beside_it() -> None:
    (time,) = _sheet().times
    assert (time.minutes.low, time.minutes.likely, time.minutes.high) == (50, 60, 80)
    assert time.rest_hours == 3


def test_the_tables_hold_the_sizes_chosen_and_the_one_drawn() -> None:
    def rows(sheet: Companion) -> list[list[str]]:
        return [[size for size, _ in table.rows] for table in sheet.size_tables]

    assert rows(_sheet()) == [["S", "Wren", "L"]] * 2  # from small to large
    assert rows(_sheet(sizes=("l",))) == [["Wren", "L"]] * 2
    bought = [row.sizes for cloth in _sheet(sizes=("L",)).cloths for row in cloth.purchases]
    assert {size for sizes in bought for size in sizes} == {"Wren", "L"}


def test_how_to_find_a_size_is_told_where_there_are_several() -> None:
    finder = " ".join(_sheet().finder)
    assert "the smallest hip that is not less than yours" in finder
    assert "8 cm (3 1/8 in) at the hip for room to move" in finder  # 80 / 25.4 = 3.15
    assert _sheet(sizes=("Wren",)).finder == ()


def test_what_is_alike_in_every_size_is_told_once() -> None:
    same = (*BAG.finished, FinishedMeasure(name="Height", figure="40 cm"))
    sheet = companion_of(evaluate(changed(EPISODE, garments=(changed(BAG, finished=same),))))
    table = sheet.size_tables[-1]
    assert table.columns == ("Width",)
    assert table.alike == (("Height", 400.0),)


# --- Odd plans -------------------------------------------------------------------------------

LONG = "Donaudampfschifffahrtsgesellschaft" * 3


def test_odd_texts_and_many_sizes_print_inside_the_margins() -> None:
    """Right to left, long words, thirty steps; twelve sizes of twelve measures."""
    names = [f"measure {chr(97 + n)}" for n in range(12)]
    body = {"hip": "98 cm", **dict.fromkeys(names, "50 cm")}
    odd = "مرحبا بالعالم " + LONG
    recipe = changed(
        BAG,
        steps=tuple(Step(id=f"s-{n}", name=f"Turn {n}x") for n in range(30)),
        measures=("hip", *names),
        summary=odd,
        finished=tuple(FinishedMeasure(name=f"F {n}", figure=f"hip + {n} cm") for n in range(12)),
    )
    sizes = tuple(Body(name=f"Size {n} {LONG}"[:80], measures=body) for n in range(12))
    episode = changed(EPISODE, title=odd[:80], garments=(recipe,), sizes=sizes)
    episode = changed(episode, body=Body(name="Wren", measures=body))
    pdf = companion_pdf(evaluate(episode))
    pages = pages_of(pdf)
    assert "".join(page.beside() for page in pages) == ""
    words = {word for page in pages for word in page.text.split()}
    assert {f"{n}x" for n in range(30)} <= words
