"""How a pattern is laid out on pages and large sheets, also of absurd garments."""

from tests.handouts.pattern_specimens import LARGE, SMALL, Paper, panel, planned
from webapp.handouts.pattern_first import sizes_above
from webapp.handouts.pattern_sheets import pattern_of, pattern_pdf
from webapp.handouts.pattern_tiles import format_of
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan


def test_without_pieces_there_is_no_pattern() -> None:
    assert pattern_pdf(evaluate(Episode(id="bare", title="Bare")), "a4") is None


def labels_of(plan: Plan, paper: Paper) -> list[str]:
    pattern = pattern_of(plan, paper)
    assert pattern
    return [page.label for page in pattern.pages]


def test_a_piece_of_five_metres_is_laid_out_on_all_its_pages() -> None:
    plan = planned(panel("10 cm", "497 cm"))
    form = format_of("a4", "overlap", 841)
    assert len(labels_of(plan, "a4")) == -(-5000 // form.cell[1])


def test_what_takes_hundreds_of_pages_is_left_to_large_sheets_and_that_is_said() -> None:
    pattern = pattern_of(planned(panel("495 cm", "495 cm")), "a4")
    assert pattern
    assert pattern.pages == ()
    form = format_of("a4", "overlap", 841)
    pages = -(-4980 // form.cell[0]) * -(-4980 // form.cell[1])
    assert f"takes {pages:.0f} pages" in pattern.told[0]


def test_a_piece_larger_than_the_roll_is_printed_in_parts_and_that_is_said() -> None:
    pattern = pattern_of(planned(panel("100 cm", "110 cm"), roll_width="60 cm"), "sheet")
    assert pattern
    assert [page.label for page in pattern.pages] == ["A1", "A2"]
    assert any("Panel is larger than the sheet" in sentence for sentence in pattern.told)
    (turned,) = pattern_of(planned(panel("100 cm", "50 cm"), roll_width="60 cm"), "sheet").pages  # type: ignore[union-attr]
    assert turned.size[0] == 600


def test_thirty_pieces_need_few_more_pages_than_their_area() -> None:
    pieces = [
        panel("13 cm", "19 cm") | {"name": f"Part {'ab'[n // 15]}{chr(97 + n % 15)}"}
        for n in range(30)
    ]
    form = format_of("a4", "overlap", 841)
    least = 30 * 160 * 220 / (form.cell[0] * form.cell[1])
    assert len(labels_of(planned(*pieces), "a4")) <= 1.4 * least


def test_what_would_mislead_makes_every_page_a_draft() -> None:
    pocket = {"name": "Pocket", "moves": [{"kind": "scoop", "width": "1 cm", "depth": "1 cm"}]}
    pattern = pattern_of(planned(panel("10 cm", "12 cm"), pocket), "a4")
    assert pattern
    assert pattern.misleads
    assert pattern.head == "Bib · size Wren · draft edition"


def test_the_words_of_a_piece_are_no_less_than_what_a_table_needs() -> None:
    """Name, cut count, size; each edge with its allowance in both units; the grain."""
    pattern = pattern_of(planned(panel("40 cm", "50 cm")), "a4")
    assert pattern
    words = {line for page in pattern.pages for word in page.words for line in word.text.lines}
    edges = {f"{edge} 1.5 cm (5/8 in)" for edge in ("top", "right side", "hem", "left side")}
    assert {"Panel", "Cut 1", "size Wren"} | edges <= words
    assert "grain" in " ".join(page.drawing for page in pattern.pages)


def test_the_fold_is_told_as_the_cloth_is_laid() -> None:
    half = panel("20 cm", "30 cm", on_fold=True, cloth="Linen")
    for laid, on_piece, in_key in (
        ("open", "turn over along this line", "do not cut: chalk around the piece"),
        ("folded", "place on the fold", "lay it on the fold of the cloth"),
    ):
        cloth = {"name": "Linen", "width": "150 cm", "laid": laid}
        pattern = pattern_of(planned(half, cloths=[cloth]), "a4")
        assert pattern
        lines = {line for page in pattern.pages for word in page.words for line in word.text.lines}
        assert on_piece in lines
        assert any(one.words.startswith(in_key) for one in pattern.key)


def test_with_several_sizes_the_first_sheet_tells_which_to_take() -> None:
    pattern = pattern_of(planned(sizes=(SMALL, LARGE), nested=True), "a4")
    assert pattern
    assert pattern.bodies
    busts = [figures[pattern.bodies.measures.index("bust")] for _, figures in pattern.bodies.rows]
    assert (busts[0], busts[-1]) == ("84 cm (33 1/8 in)", "100 cm (39 3/8 in)")  # 2.54 cm an inch


def test_above_a_page_many_sizes_are_told_in_brief() -> None:
    assert sizes_above(["S", "M", "L"]) == "sizes S, M, L"
    assert sizes_above(["S", "As filmed", "M", "L", "XL"]) == "5 sizes, S to XL"
    assert sizes_above(["For the smallest", "For the largest"]) == "2 sizes"
    assert sizes_above(["W" * 80]).endswith("…")


def test_the_name_of_a_narrow_piece_stands_upright_on_the_map() -> None:
    pattern = pattern_of(planned(panel("1.5 cm", "90 cm")), "a4")
    assert pattern
    (name,) = pattern.map_names
    assert "rotate(-90deg)" in name.style
