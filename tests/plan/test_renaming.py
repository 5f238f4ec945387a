"""New names: what quotes one follows, and a garment that joins an episode means the same."""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import pytest
from pydantic import BaseModel

import webapp
from webapp.build.rates import OwnRate
from webapp.build.time_log import KindShare, TimeEntry, Timer
from webapp.cloth.cloths import (
    ChoiceOnCloth,
    EpisodeCloth,
    KeptLay,
    KeptWay,
    KeptWays,
    KeptWidth,
    OtherCloth,
)
from webapp.cloth.thread import ThreadChoices
from webapp.draft.construction import EdgeUse, Step, Work
from webapp.draft.expressions import LONGEST_TEXT, read
from webapp.draft.fittings import ChoiceChange, FinishChange, MoveChange
from webapp.draft.moves import MOVES
from webapp.draft.moves.base import Shaped, ShapingMove, Workpiece, piece_field, share_field
from webapp.draft.moves.rectangle import Rectangle
from webapp.draft.recipe import (
    Body,
    BodyCheck,
    Choice,
    Finish,
    FinishedMeasure,
    Notion,
    PieceRecipe,
    Recipe,
    Seam,
    SeamNotch,
    Way,
)
from webapp.errors import RecipeError
from webapp.filming.looks import Look, PlaceChange
from webapp.filming.shoot_days import Break, DayAsPlanned, DaysAsPlanned, Noise, ShootDay
from webapp.filming.shots import AcceptedFigure, SaidFigure, Shot
from webapp.plan.episode import (
    Brief,
    Edition,
    Episode,
    Fitting,
    Picture,
    PrintedFigure,
    Revision,
)
from webapp.plan.print_choices import PrintChoices
from webapp.plan.renaming import QUOTES, Renaming, quotes_of
from webapp.store.starters import starters

each_starter = pytest.mark.parametrize("starter", starters(), ids=lambda starter: starter.id)

FRONT_TO_B = Renaming({"front": "Front B", "neck binding": "Neck binding B", "front b": "Front C"})
EASE = Renaming(
    choices={"ease": "body ease", "x": "yoke ease"}, figures={"front.neck": "Front.neckline"}
)


class Trace(ShapingMove):
    """A move that takes from an earlier piece, as some of the moves do."""

    title = "Trace"
    purpose = ""
    kind: Literal["trace"] = "trace"
    of: str = piece_field("Piece", "")
    share: str = share_field("Share", "")

    def apply(self, work: Workpiece) -> Shaped:
        raise work.refusal("nothing is drawn here")


# --- Figures and texts -----------------------------------------------------------------------

FIGURES = [
    ("Front.neck", "Front B.neck"),
    ("bust / 2 + Front.neck", "bust / 2 + Front B.neck"),
    ("2 * (Front.neck + Back.neck)", "2 * (Front B.neck + Back.neck)"),
    ("Front.neck width - Front.neck", "Front B.neck width - Front B.neck"),
    ("Front.neck - Front.neck width", "Front B.neck - Front B.neck width"),
    ("Neck binding.flat width * 1/2", "Neck binding B.flat width * 1/2"),
    ("max(Front.arm,Back.arm)*½", "max(Front B.arm,Back.arm)*½"),
    ("FRONT.Neck + front.neck", "Front B.Neck + Front B.neck"),
    ("Upper front.neck + front.neck", "Upper front.neck + Front B.neck"),  # another piece
    ("Front.neck + Front B.neck", "Front B.neck + Front C.neck"),  # at once, not one by one
    ("front ease + front / 2", "front ease + front / 2"),  # choices
    ("4 3/4 in", "4 3/4 in"),
    ("", ""),
    ("Front.neck + + 2 cm)", "Front.neck + + 2 cm)"),  # nobody can read it
]


@pytest.mark.parametrize(("text", "renamed"), FIGURES)
def test_a_figure_quotes_the_new_name(text: str, renamed: str) -> None:
    assert FRONT_TO_B.of(text, "figure") == renamed


@pytest.mark.parametrize("text", [text for text, renamed in FIGURES if text != renamed])
def test_a_renamed_figure_reads_as_the_same_sum_of_the_new_names(text: str) -> None:
    """The tree is the old one with other names, whatever the text's spaces."""
    old, new = read(text), read(FRONT_TO_B.of(text, "figure"))
    assert [FRONT_TO_B.of(name, "piece").lower() for name in old.quoted] == [
        name.lower() for name in new.quoted
    ]
    value = {name: 10.0 + number for number, name in enumerate(sorted(old.names))}
    moved = {FRONT_TO_B.of(name, "piece").lower(): mm for name, mm in value.items()}
    assert old.quantity(_quantities(value)) == new.quantity(_quantities(moved))


def _quantities(values_mm: Mapping[str, float]) -> Mapping[str, Any]:
    return {name: read(f"{mm} mm").quantity({}) for name, mm in values_mm.items()}


TEXTS = [
    ("Match {Front.neck} to {Back.neck}.", "Match {Front B.neck} to {Back.neck}."),
    (
        "{Front.neck width}, {front.HEM turn under}",
        "{Front B.neck width}, {Front B.HEM turn under}",
    ),
    ("{ Neck  binding . join }", "{Neck binding B. join }"),
    ("{Front.neck}{Front.hem}", "{Front B.neck}{Front B.hem}"),
    ("Lay the Front.neck down, Front up", "Lay the Front.neck down, Front up"),  # plain words
    ("{front neck depth} {front} {Front}", "{front neck depth} {front} {Front}"),  # choices
    ("{fine Front.neck} {Upper front.neck}", "{fine Front.neck} {Upper front.neck}"),
    ("{Front.neck and no end", "{Front.neck and no end"),
    ("{} {{Front.neck}} }{", "{} {{Front B.neck}} }{"),
    ("Front.neck} {Front.neck}", "Front.neck} {Front B.neck}"),
]


@pytest.mark.parametrize(("text", "renamed"), TEXTS)
def test_a_text_quotes_the_new_name_within_its_braces(text: str, renamed: str) -> None:
    assert FRONT_TO_B.of(text, "text") == renamed


def test_a_move_that_takes_from_an_earlier_piece_takes_from_the_renamed_one() -> None:
    move = Trace(of="front", share="Front.neck / Back.neck")
    assert FRONT_TO_B.of(move) == Trace(of="Front B", share="Front B.neck / Back.neck")
    assert FRONT_TO_B.of(Trace(of="Front.yoke", share="1")).of == "Front B.yoke"


EASE_FIGURES = [
    ("(bust + ease) / 4", "(bust + body ease) / 4"),
    ("Ease*2", "body ease*2"),
    ("max(x, ease, 2 cm)", "max(yoke ease, body ease, 2 cm)"),  # not the x of max
    ("front ease + ease x", "front ease + ease x"),  # other choices
    ("Front.ease + ease", "Front.ease + body ease"),
    ("Front.neck - Front.neck width", "Front.neckline - Front.neck width"),
    ("front.neck/ease", "Front.neckline/body ease"),
]


@pytest.mark.parametrize(("text", "renamed"), EASE_FIGURES)
def test_a_figure_quotes_the_new_name_of_a_choice_or_an_edge(text: str, renamed: str) -> None:
    assert EASE.of(text, "figure") == renamed


def test_a_text_quotes_the_new_name_of_a_choice_or_an_edge() -> None:
    text = "{ease} and { EASE }, {front ease}, {Front.ease}, {Front.neck}, {Front.neck depth}, ease"
    assert EASE.of(text, "text") == (
        "{body ease} and {body ease}, {front ease}, {Front.ease}, {Front.neckline}, "
        "{Front.neck depth}, ease"
    )


@pytest.mark.parametrize("name", ["x-1", "2 neck", "neck, 1", "in/2"])
def test_a_name_that_a_figure_could_not_be_read_with_is_refused(name: str) -> None:
    with pytest.raises(RecipeError, match="could not be read"):
        Renaming(choices={"ease": name}).of("ease / 2", "figure")
    with pytest.raises(RecipeError, match="could not be read"):
        Renaming(figures={"front.neck": f"Front.{name}"}).of("Front.neck", "piece")


def test_a_name_that_makes_a_figure_too_long_is_refused() -> None:
    figure = " + ".join(["ease"] * 28)  # 28 × 4 + 27 × 3 = 193 of 200 characters
    assert len(figure) <= LONGEST_TEXT
    with pytest.raises(RecipeError, match="too long"):
        Renaming(choices={"ease": "body ease"}).of(figure, "figure")


# --- Every field -----------------------------------------------------------------------------

# The texts of an episode that name or quote nothing of it: titles, words of fixed lists, names of
# measures, edges, cloths and places.
CLOTH_TEXTS = (
    "name", "width", "edge_margin", "weight", "repeat_along", "repeat_across", "price", "squaring",
    "have", "more_widths"
)  # fmt: skip
QUOTE_NOTHING = {
    (Episode, "id"),
    (Episode, "title"),
    (Episode, "channel"),
    (Episode, "series"),
    (Brief, "audience"),
    (Brief, "members_extra"),
    (Brief, "notes"),
    (Body, "name"),
    (Body, "measures"),  # lengths as typed
    (Body, "copied"),
    (Episode, "currency"),
    (Episode, "bought"),
    *((cloth, name) for cloth in (EpisodeCloth, OtherCloth) for name in CLOTH_TEXTS),
    (OtherCloth, "instead_of"),
    (ChoiceOnCloth, "garment"),
    (KeptLay, "cloth"),
    (KeptLay, "key"),
    *((KeptWay, name) for name in ("metres", "yards", "problem", "why_more")),
    (KeptWidth, "cm"),
    (KeptWidth, "inch"),
    *((KeptWays, name) for name in ("cloth", "key", "sizes")),
    (Shot, "id"),
    (Shot, "title"),
    (Shot, "place"),
    (Shot, "note"),
    *((figure, unit) for figure in (SaidFigure, AcceptedFigure) for unit in ("cm", "inch")),
    (AcceptedFigure, "note"),
    *((Shot, name) for name in ("look", "chapter")),
    *(
        (ShootDay, name)
        for name in ("starts", "ends", "light_from", "dark_from", "goes_on_at", "shots")
    ),
    (DayAsPlanned, "shots"),
    *((DaysAsPlanned, name) for name in ("shots_key", "steps_key", "hours_key", "minutes_key")),
    (Break, "at"),
    *((Noise, name) for name in ("starts", "ends", "what")),
    *((Look, name) for name in ("id", "name", "press", "at_hand")),
    *((PlaceChange, name) for name in ("one", "other")),
    *((OwnRate, name) for name in ("key", "note")),
    *((KindShare, name) for name in ("rates", "by")),
    *((TimeEntry, name) for name in ("id", "item", "title", "holds", "episode", "note")),
    *((Timer, name) for name in ("item", "title")),
    (Brief, "time_zone"),
    *((Picture, name) for name in ("file", "alt")),
    *((change, "garment") for change in (ChoiceChange, FinishChange, MoveChange)),
    (FinishChange, "edge"),
    *((Fitting, name) for name in ("id", "title", "found", "reason", "shot")),
    (Revision, "title"),
    (Revision, "fitting"),
    *((PrintedFigure, name) for name in ("cm", "inch")),
    (Edition, "sizes"),
    *((PrintChoices, name) for name in ("drawn_for", "sizes", "roll_width")),
    (Edition, "lays"),
    (Recipe, "id"),
    (Recipe, "name"),
    (Recipe, "measures"),
    (Way, "name"),
    (PieceRecipe, "cloth"),
    (PieceRecipe, "finishes"),  # by edge; what a finish quotes is its own
    (Seam, "stitch"),
    (BodyCheck, "name"),
    (FinishedMeasure, "name"),
    (Notion, "name"),
    (Notion, "price"),
    (ThreadChoices, "ratios"),  # by stitch
    (Step, "name"),
    (Work, "stitch"),
}
ASKS_THAT_QUOTE_NOTHING = {"edge", "edges", "name", "option"}


def _parts(annotation: Any) -> Iterator[Any]:
    """A type and all it is made of, without the words of fixed lists."""
    yield annotation
    if get_origin(annotation) is not Literal:
        for inner in get_args(annotation):
            yield from _parts(inner)


def _models(model: type[BaseModel]) -> set[type[BaseModel]]:
    found = {model}
    for info in model.model_fields.values():
        for part in _parts(info.annotation):
            if isinstance(part, type) and issubclass(part, BaseModel) and part not in found:
                found |= _models(part)
    return found


def test_every_text_of_an_episode_is_said_to_quote_something_or_nothing() -> None:
    """A field that is added to an episode must be entered in one of the two lists."""
    models = {model for model in _models(Episode) if not issubclass(model, ShapingMove)}
    assert QUOTES.keys() <= models
    texts = {
        (model, name)
        for model in models
        for name, info in model.model_fields.items()
        if str in _parts(info.annotation)
    }
    quoting = {(model, name) for model, fields in QUOTES.items() for name in fields}
    assert quoting <= texts
    assert texts - quoting == QUOTE_NOTHING


def test_every_field_that_is_shown_with_its_figures_is_said_to_be_a_text() -> None:
    """Whatever `render` is handed, anywhere in the app, is a field whose figures are renamed."""
    code = "".join(file.read_text() for file in Path(webapp.__file__).parent.rglob("*.py"))
    shown = set(re.findall(r"\brender\((?:\w+\.)+(\w+), ", code))
    assert {"words", "promise", "note"} <= shown
    texts = {
        name for fields in QUOTES.values() for name, quote in fields.items() if quote == "text"
    }
    assert shown <= texts


@pytest.mark.parametrize("kind", MOVES)
def test_every_text_of_a_move_is_said_to_quote_something_or_nothing(kind: str) -> None:
    move = MOVES[kind]
    for name, info in move.model_fields.items():
        if name in quotes_of(move) or str not in _parts(info.annotation):
            continue
        extra = info.json_schema_extra
        assert isinstance(extra, dict), f"{kind}, {name}"
        assert extra["ask"] in ASKS_THAT_QUOTE_NOTHING, f"{kind}, {name}"


def test_every_quote_in_every_part_of_a_recipe_is_renamed() -> None:
    rectangle = Rectangle(width="Front.neck", length="10 cm")
    recipe = Recipe(
        id="smock",
        name="Smock",
        summary="{Front.hem}",
        choices=(
            Choice(
                name="front ease",
                value="Front.a",
                least="Front.b",
                most="Front.c",
                reason="{Front.d}",
                ways=(Way(name="Half", figure="Front.e", how="{Front.f}"),),
            ),
        ),
        seam_allowance="Front.g",
        pieces=(
            PieceRecipe(name="Front"),
            PieceRecipe(
                name="Back",
                moves=(rectangle,),
                finishes={"Front": Finish(allowance="Front.h", turn_under="Front.i")},
                note="{Front.j}",
            ),
        ),
        seams=(
            Seam(
                name="side seams",
                one=(EdgeUse(edge="Front.side", times=2),),
                other=(EdgeUse(edge="Back.side", times=2), EdgeUse(edge="front.k")),
                eased_in="Front.l",
                notches=(SeamNotch(at="Front.m"),),
            ),
        ),
        checks=(BodyCheck(name="Girth", garment="Front.n", at_least="Front.o", why="{Front.p}"),),
        finished=(FinishedMeasure(name="Hem", figure="Front.q"),),
        steps=(
            Step(id="cut", name="Cut", words="{Front.r}", spare="{Front.s}"),
            Step(
                id="sew",
                name="Sew",
                after=("cut", "elsewhere"),
                work=(
                    Work(kind="machine", seams=("Side seams", "other")),
                    Work(kind="press", pieces=("front", "Back")),
                    Work(kind="press", edges=(EdgeUse(edge="Front.hem", times=2),)),
                ),
            ),
        ),
        notions=(
            Notion(
                name="Tape",
                amount="{Front.t}",
                why="{Front.u}",
                length="Front.v",
                width="Front.w",
                ends="Front.x",
            ),
        ),
    )
    renaming = Renaming({"front": "Apron"}, {"side seams": "flanks"}, {"cut": "cut-2"})
    text = recipe.model_dump_json()
    text = text.replace("Front.", "Apron.").replace("front.", "Apron.")
    text = text.replace('"name":"Front"', '"name":"Apron"').replace(
        '"front","Back"', '"Apron","Back"'
    )
    text = text.replace('"side seams"', '"flanks"').replace('"Side seams"', '"flanks"')
    text = text.replace('"cut"', '"cut-2"')
    assert renaming.of(recipe) == Recipe.model_validate_json(text)
