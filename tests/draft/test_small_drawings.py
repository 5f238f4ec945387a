"""Small drawings: to scale, inside their boxes, and words for those who cannot see them."""

from xml.etree import ElementTree

import pytest

from tests.specimens import WREN, smock_draft
from webapp.draft.evaluate import evaluate
from webapp.draft.example_body import EXAMPLE_BODY
from webapp.draft.garment_view import views_of
from webapp.draft.measures import MEASURES
from webapp.draft.small_drawings import draw_garments, draw_outline, one_scale
from webapp.store.starters import starters
from webapp.units import parse_length

SVG = "{http://www.w3.org/2000/svg}"


def _points(path: ElementTree.Element) -> list[tuple[float, float]]:
    pairs = path.attrib["d"].replace("M", " ").replace("L", " ").replace("Z", " ").split()
    numbers = [float(one) for one in pairs]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


@pytest.mark.parametrize("with_views", [True, False])
def test_everything_drawn_lies_inside_the_view_box(with_views: bool) -> None:
    draft = smock_draft()
    views = views_of(draft) if with_views else ()
    root = ElementTree.fromstring(draw_garments([(views, draft.pieces)], "Title", "Words"))
    left, top, width, height = map(float, root.attrib["viewBox"].split())
    points = [point for path in root.iter(f"{SVG}path") for point in _points(path)]
    assert all(left <= x <= left + width and top <= y <= top + height for x, y in points)
    wide = max(x for x, _ in points) - min(x for x, _ in points)
    assert wide == pytest.approx(300, abs=0.1)  # the longer side
    assert (root.findtext(f"{SVG}title"), root.findtext(f"{SVG}desc")) == ("Title", "Words")


def test_a_garment_without_a_piece_is_not_drawn() -> None:
    assert draw_garments([((), ())], "Title", "Words") == ""


def test_pieces_in_miniature_keep_their_proportions() -> None:
    pieces = smock_draft().pieces
    scale = one_scale(pieces, 130, 110)
    sizes = []
    for piece in pieces:
        root = ElementTree.fromstring(draw_outline(piece, scale))
        wide, high = float(root.attrib["width"]) - 2, float(root.attrib["height"]) - 2
        width_mm, height_mm = piece.cut_size_mm
        fold = 2 if piece.on_fold else 1
        assert (wide, high) == pytest.approx((fold * width_mm * scale, height_mm * scale), abs=0.01)
        sizes.append((wide / 130, high / 110))
    assert max(max(pair) for pair in sizes) == pytest.approx(1.0, abs=1e-4)  # the largest fits


def test_the_example_body_has_every_measure_within_its_range() -> None:
    for name, measure in MEASURES.items():
        mm = parse_length(EXAMPLE_BODY.measures[name], None).mm
        assert measure.least_mm < mm < measure.most_mm


@pytest.mark.parametrize("recipe", starters(), ids=lambda recipe: recipe.id)
def test_every_starter_can_be_drawn_on_the_example_body(recipe: object) -> None:
    draft = evaluate(recipe, EXAMPLE_BODY)  # type: ignore[arg-type]
    assert not draft.problems
    assert len(draft.pieces) == len(evaluate(recipe, WREN).pieces)  # type: ignore[arg-type]
