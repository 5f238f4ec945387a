"""The small drawings beside the steps, read back from their SVG."""

import json
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations, pairwise
from typing import Any
from xml.etree import ElementTree

import pytest

from tests.specimens import STARTERS, WREN, starter
from webapp.build.step_view import StepView, step_view
from webapp.draft.construction import Step
from webapp.draft.evaluate import evaluate
from webapp.draft.labels import text_width
from webapp.draft.outline import Point, bounds
from webapp.draft.recipe import Recipe
from webapp.draft.sewn import taken_up_in
from webapp.handouts.companion import companion_of
from webapp.handouts.step_diagrams import THREAD, drawn, step_drawing
from webapp.handouts.step_layout import HEIGHT, WIDTH
from webapp.plan.results import Plan

SVG = "{http://www.w3.org/2000/svg}"
HEAVY = 0.5  # mm; what is drawn with a wider pen is heavy
LEAST_TEXT_MM = 6.5 * 25.4 / 72  # 6.5 pt, as asked for

SmockWith = Callable[[Callable[[dict[str, Any]], None]], Plan]


@dataclass(frozen=True)
class Drawing:
    """A step of a starter as it is drawn, read back."""

    step: str
    view: StepView
    root: ElementTree.Element

    @property
    def heavy(self) -> ElementTree.Element | None:
        """The lines that are sewn now; None where a step only presses."""
        return next((p for p in self.root.iter(f"{SVG}path") if _pen(p) > HEAVY), None)

    @property
    def scale(self) -> float:
        """Millimetres of paper for one of cloth, from the outlines: of all pieces the same."""
        outlines = next(self.root.iter(f"{SVG}path"))
        scales = []
        for line, on in zip(_lines(outlines), self.view.shown, strict=True):
            drawn_box, box = bounds(line), bounds(on.piece.whole_cut_points)
            side = max((0, 1), key=lambda way: box[way + 2] - box[way])
            scales.append((drawn_box[side + 2] - drawn_box[side]) / (box[side + 2] - box[side]))
        assert max(scales) == pytest.approx(min(scales), rel=0.03)  # points are to 0.1 mm
        return scales[0]


@cache
def _drawings(name: str) -> tuple[Drawing, ...]:
    """The steps of a starter that are drawn, in the order in which they are listed."""
    draft = evaluate(starter(name), WREN)
    steps = draft.recipe.steps
    views = ((step.id, step_view(step, steps[:at], (draft,))) for at, step in enumerate(steps))
    return tuple(Drawing(step, view, _root(drawn(view))) for step, view in views if view)


def _drawing(name: str, step: str) -> Drawing:
    return next(each for each in _drawings(name) if each.step == step)


every_garment = pytest.mark.parametrize(
    "name", sorted(path.stem for path in STARTERS.glob("*.json"))
)


def _pen(element: ElementTree.Element) -> float:
    return float(element.get("stroke-width", "0"))


def _root(drawing: str) -> ElementTree.Element:
    return ElementTree.fromstring(drawing)


def _lines(path: ElementTree.Element) -> Iterator[list[Point]]:
    for part in path.attrib["d"].split("M")[1:]:
        numbers = [float(number) for number in re.findall(r"-?[\d.]+", part)]
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        yield [*points, points[0]] if "Z" in part else points


def _length(points: list[Point]) -> float:
    return sum(math.dist(one, other) for one, other in pairwise(points))


def _boxes(root: ElementTree.Element) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Every text with the box its letters fill: capitals are 0.66 em high in Source Sans 3."""
    found = []
    sizes = {text: group for group in root.iter(f"{SVG}g") for text in group.iter(f"{SVG}text")}
    for text in root.iter(f"{SVG}text"):
        em = float(text.get("font-size") or sizes[text].attrib["font-size"])
        assert em >= LEAST_TEXT_MM
        x, y, half = float(text.attrib["x"]), float(text.attrib["y"]), 0.0
        half = text_width(text.text or "") * em / 2 * 0.9  # that width is rather too wide
        found.append((text.text or "", (x - half, y - 0.66 * em, x + half, y)))
    return found


# --- Lines -----------------------------------------------------------------------------------


@every_garment
def test_what_is_sewn_is_drawn_heavy_and_to_scale(name: str) -> None:
    for drawing in _drawings(name):
        view, heavy = drawing.view, drawing.heavy
        courses = [course for meeting in view.meetings for course in meeting.courses]
        stitched = [c for each in view.worked if each.stitched for c in each.courses]
        sewn = courses or stitched
        if heavy is None:
            assert not sewn, drawing.step
            assert any(each.turned for each in view.worked)
            continue
        assert heavy.get("stroke") == THREAD
        lines = list(_lines(heavy))
        assert len(lines) == len(sewn) + len(view.darts)
        for line, course in zip(lines, sewn, strict=False):
            mm = course.edge.length_mm * drawing.scale
            if "gathers" in taken_up_in(course.edge, course.on.piece.markings):
                assert _length(line) > 1.2 * mm  # in waves
            else:
                assert _length(line) == pytest.approx(mm, rel=0.04, abs=0.25), drawing.step


@every_garment
def test_only_what_is_sewn_now_is_heavy(name: str) -> None:
    # In grey the weight alone tells it: everything else is drawn with half of it or little more.
    for drawing in _drawings(name):
        widths = sorted(_pen(element) for element in drawing.root.iter())
        assert drawing.heavy is None or widths[-1] >= 1.8 * widths[-2]


def test_the_smocks_seams_stand_in_its_drawings_on_every_piece_they_join() -> None:
    wanted = {
        "shoulders": {"Front", "Back"},
        "sleeves": {"Front", "Back", "Sleeve"},
        "side-seams": {"Front", "Back", "Sleeve"},
        "bind-neck": {"Front", "Back", "Neck binding"},
    }
    for step, pieces in wanted.items():
        texts = {text for text, _ in _boxes(_drawing("drop-shoulder-smock", step).root)}
        assert pieces <= texts
        assert {"A", "B"} <= texts


# --- Letters ---------------------------------------------------------------------------------


@every_garment
def test_no_label_lies_on_another_or_off_the_drawing(name: str) -> None:
    for drawing in _drawings(name):
        _, _, width, height = map(float, drawing.root.attrib["viewBox"].split())
        assert width <= WIDTH + 0.1
        assert height <= HEIGHT + 0.1
        boxes = _boxes(drawing.root)
        for _, (left, top, right, bottom) in boxes:
            assert left >= -0.1
            assert top >= -0.1
            assert right <= width + 0.1
            assert bottom <= height + 0.1
        for (one, a), (other, b) in combinations(boxes, 2):
            apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
            assert apart, (drawing.step, one, other)


@every_garment
def test_every_letter_and_number_stands_on_both_sides(name: str) -> None:
    for drawing in _drawings(name):
        texts = [text for text, _ in _boxes(drawing.root)]
        meetings = drawing.view.meetings
        if len(meetings) == 1:
            onto_itself = (
                len(drawing.view.shown) == 1
            )  # as a dart's point, which is sewn to nothing
            for letter in {text for text in texts if re.fullmatch("[A-Z]", text)}:
                assert texts.count(letter) >= 2 or onto_itself, (drawing.step, letter)
            assert texts.count("A") >= 2
        for number in range(1, len(meetings) + 1 if len(meetings) > 1 else 1):
            assert texts.count(str(number)) == 2


def test_letters_stand_nearest_to_their_corners() -> None:
    drawing = _drawing("drop-shoulder-smock", "shoulders")
    assert drawing.heavy is not None
    ends = [(line[0], line[-1]) for line in _lines(drawing.heavy)][:2]
    (neck, arm), (other_neck, other_arm) = ends
    boxes = _boxes(drawing.root)
    for letter, corners in (("A", (neck, other_neck)), ("B", (arm, other_arm))):
        middles = [((x0 + x1) / 2, (y0 + y1) / 2) for text, (x0, y0, x1, y1) in boxes
                   if text == letter]  # fmt: skip
        assert len(middles) == 2
        for corner in corners:
            assert min(math.dist(corner, middle) for middle in middles) < 3.5


# --- Words -----------------------------------------------------------------------------------


def _title(drawing: str) -> str:
    return _root(drawing).findtext(f"{SVG}title") or ""


def test_a_drawing_says_in_words_what_it_shows(plan: Plan) -> None:
    titles = {row.step.id: _title(step_drawing(plan, row)) for row in plan.steps
              if step_drawing(plan, row)}  # fmt: skip
    assert titles["shoulders"].startswith("Front and Back: shoulder to shoulder.")
    assert (
        "A: Front at neck and Back at neck. B: Front at arm and Back at arm."
        in (titles["shoulders"])
    )
    assert titles["sleeves"].startswith("Sleeve cap to Back arm and Front arm.")
    assert "B: Sleeve on cap, Back at shoulder and Front at shoulder." in titles["sleeves"]
    assert "Sewn already: " in titles["sleeves"]
    assert "Stitched: Front hem and Back hem." in titles["hem"]
    assert "Turned under: Front hem and Back hem." in titles["hem"]
    assert not titles.keys() & {"cut-pieces", "cut-neck", "cut-binding", "chalk", "wash"}


def test_the_companion_shows_them_beside_their_steps(smock_with: SmockWith) -> None:
    def alone(episode: dict[str, Any]) -> None:  # nothing to lay out, and no other sizes
        episode.update(cloths=[], sizes=[], other_cloths=[], garments=episode["garments"][:1])

    sheets = {s.name: s for run in companion_of(smock_with(alone)).runs for s in run.steps}
    assert sheets["Sew the shoulder seams"].drawing
    assert not sheets["Cut the main pieces"].drawing


# --- Odd plans -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name", ["W" * 39, "Ein sehr langer Name aus vielen Woertern", "הקדמי", "前身頃", "É" * 12]
)
def test_names_of_any_kind_have_room(name: str) -> None:
    document = starter("drop-shoulder-smock").model_dump(mode="json")
    for step in document["steps"]:
        step |= {"words": "", "spare": ""}  # too long with such names
    renamed = Recipe.model_validate_json(json.dumps(document).replace("Front", name))
    draft = evaluate(renamed, WREN)
    steps = {step.id: step for step in renamed.steps}
    view = step_view(steps["shoulders"], (), (draft,))
    assert view is not None
    root = _root(drawn(view))
    boxes = _boxes(root)
    whole = "".join(text for text, _ in boxes).replace(" ", "")
    assert name.replace(" ", "") in whole
    _, _, width, _ = map(float, root.attrib["viewBox"].split())
    assert all(left >= -0.5 and right <= width + 0.5 for _, (left, _, right, _) in boxes)


def test_an_episode_that_lacks_pieces_seams_and_edges_is_drawn_as_far_as_it_goes(
    smock_with: SmockWith,
) -> None:
    def broken(episode: dict[str, Any]) -> None:
        smock = episode["garments"][0]
        smock["seams"] = [seam for seam in smock["seams"] if "sleeve" not in seam["name"]]
        for piece in smock["pieces"]:
            if piece["name"] in ("Back", "Pocket"):
                piece["moves"] = []

    plan = smock_with(broken)
    drawings = {row.step.id: step_drawing(plan, row) for row in plan.steps}
    assert "Back" not in json.dumps(_title(drawings["hem"]))
    assert drawings["shoulders"]  # the Front's half of it
    assert not drawings["sleeves"]
    assert not drawings["pockets"]


def test_seams_that_share_pieces_leave_room_for_those_of_other_edges() -> None:
    recipe = starter("half-circle-skirt")
    work = [
        {"kind": "machine", "seams": ["front waist seam", "front waist seam again"]},
        {"kind": "machine", "edges": [{"edge": "Patch pocket.mouth"}]},
        {"kind": "machine", "edges": [{"edge": "Back band.join"}]},
    ]
    twin = next(seam for seam in recipe.seams if seam.name == "front waist seam")
    seams = (*recipe.seams, twin.model_copy(update={"name": "front waist seam again"}))
    draft = evaluate(recipe.model_copy(update={"seams": seams}), WREN)
    step = Step.model_validate({"id": "sew", "name": "Sew", "work": work})
    view = step_view(step, (), (draft,))
    assert view is not None
    assert len(view.shown) == 4
    texts = " ".join(text for text, _ in _boxes(_root(drawn(view))))
    assert all(on.piece.name in texts for on in view.shown)
