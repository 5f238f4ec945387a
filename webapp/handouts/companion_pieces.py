"""The companion's pieces: drawn, worded, and listed for cutting."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.laid import WayOfLaying
from webapp.draft.allowances import NONE
from webapp.draft.drawing import draw_piece
from webapp.draft.evaluate import Piece
from webapp.draft.marks import how_cut
from webapp.draft.recipe import FINISHES
from webapp.filming.figures import render
from webapp.handouts.companion_view import EdgeFinish, GarmentSheet, PieceSheet
from webapp.handouts.drawings import INK, sized
from webapp.plan.results import Plan
from webapp.units import System

_COLUMN_MM: Final = (80.0, 112.0)  # the words stand beside it
_CARD_MM: Final = (80.0, 76.0)  # the words stand below it; lower, its figures were under 6 pt
_SMALL_MM: Final = 450.0  # a piece no longer than this, of few words, is a small one
_FEW: Final = 260  # characters


def ways_laid(plan: Plan) -> dict[str, WayOfLaying]:
    """How every cloth is laid that is cut from."""
    return {lay.cloth.name: lay.cloth.laid for lay in plan.lays}


def turned_over(piece: Piece, ways: Mapping[str, WayOfLaying]) -> bool:
    """True for a half that its cloth, so laid, has no fold for: it is chalked around twice."""
    way = ways.get(piece.cloth, "folded")
    return piece.on_fold and (way != "folded" or piece.grain != "along")


def garment_sheets(
    plan: Plan, ways: Mapping[str, WayOfLaying] | None = None
) -> Iterator[GarmentSheet]:
    """Every garment that has finished pieces; all but the episode's first are extras.

    `ways` are how the cloths lie as drawn, where that is not how the episode lays them.
    """
    several = len({piece.cloth for piece in plan.pieces}) > 1
    ways = ways_laid(plan) if ways is None else ways
    first = plan.episode.first_unit
    for place, draft in enumerate(plan.drafts):
        figures = plan.figures_for(draft)
        if draft.pieces:
            yield GarmentSheet(
                place=f"pieces-{place + 1}",
                name=draft.recipe.name,
                summary=render(draft.recipe.summary, figures, first).plain,
                is_extra=place > 0,
                pieces=tuple(
                    _sheet(piece, figures, first, several, turned_over(piece, ways))
                    for piece in draft.pieces
                ),
            )


def _sheet(
    piece: Piece,
    figures_mm: Mapping[str, float],
    first: System,
    several_cloths: bool,
    turned: bool,
) -> PieceSheet:
    width_mm, length_mm = piece.cut_size_mm
    words = tuple(sentence.show(first) for sentence in piece.words)
    note = render(piece.note, figures_mm, first).plain
    small = length_mm <= _SMALL_MM and len(note) + sum(map(len, words)) <= _FEW
    return PieceSheet(
        name=piece.name,
        cut=cutting_line(piece, turned_over=turned),
        half="" if not piece.on_fold else "up to its centre line" if turned else "beside the fold",
        cloth=piece.cloth if several_cloths else "",
        grain=grain_line(piece),
        width_mm=width_mm,
        length_mm=length_mm,
        finishes=tuple(edge_finishes(piece, turned_over=turned)),
        drawing=sized(
            draw_piece(piece, first, ink=INK, turned_over=turned),
            *(_CARD_MM if small else _COLUMN_MM),
        ),
        words=words,
        note=note,
        is_small=small,
    )


def cutting_line(piece: Piece, *, turned_over: bool = False) -> str:
    """How many to cut, as pattern pieces say it."""
    return f"Cut {piece.cut_count}{how_cut(piece, turned_over=turned_over)}"


def grain_line(piece: Piece) -> str:
    """How it lies on the cloth's grain."""
    off = f", or up to {piece.tilt:g}° off that" if piece.tilt else ""
    if piece.grain == "bias":
        return f"It lies on the bias, at 45° to the selvedge{off}"
    return f"The arrow lies along the selvedge{off}"


_LAID: Final[dict[WayOfLaying, str]] = {
    "open": "lay it in one layer, right side up",
    "folded": "fold it lengthwise, right sides together, selvedge on selvedge",
    "folded across": "fold it across, right sides together, one cut end on the other",
}


def laying(pieces: Sequence[Piece], cloths: Sequence[tuple[str, WayOfLaying]]) -> Iterator[str]:
    """How the pieces come onto the cloths they are cut from, as their lays show it.

    `cloths` are the names of the cloths and how each is laid.
    """
    used = [(name, way) for name, way in cloths if any(piece.cloth == name for piece in pieces)]
    for way in dict.fromkeys(way for _, way in used):
        alike = [name for name, laid in used if laid == way]
        what = "the cloth" if len(alike) == len(used) else " and ".join(alike)
        yield f"Press {what}, square its end and {_LAID[way]}."
        yield from _chalking([piece for piece in pieces if piece.cloth in alike], way)
    yield "Lay out every piece before you cut the first."


def matching(pieces: Sequence[Piece], cloths: Sequence[EpisodeCloth]) -> Iterator[str]:
    """How the pieces are laid on cloths whose stripes or checks are to meet."""
    for cloth in cloths:
        if not any(piece.cloth == cloth.name for piece in pieces):
            continue
        if cloth.repeat_along:
            yield (
                f"On {cloth.name} the stripes that run around the body meet at the seams: lay the "
                "pieces so that the hem corners of edges that are sewn together fall on the same "
                "place of a stripe."
            )
        if cloth.repeat_across:
            yield (
                f"On {cloth.name} the middle of every piece that lies along the grain falls on the "
                "same place of a stripe that runs up and down."
            )


def _chalking(pieces: Sequence[Piece], way: WayOfLaying) -> Iterator[str]:
    halves = [piece for piece in pieces if piece.on_fold]
    along = [piece for piece in halves if way == "folded" and piece.grain == "along"]
    if way == "folded":
        yield (
            "A piece that the lay shows on the fold is laid as its half, its centre line along the "
            "fold, and comes whole."
        )
    if len(along) < len(halves):
        yield (
            "Chalk around a piece that is drawn as its half, turn it over along its centre line "
            "and chalk around it again: it comes whole."
        )
    if way != "open":
        yield (
            "Every other piece is cut through both layers, a left and a right at once; where the "
            "lay says that only one is wanted, cut it from the upper layer."
        )
    elif any(piece.pair for piece in pieces):
        yield "Turn a piece face down to chalk its other hand."


def edge_finishes(piece: Piece, *, turned_over: bool = False) -> Iterator[EdgeFinish]:
    """How the edges end and what is added outside them, those alike together."""
    groups: dict[tuple[str, float, float], list[str]] = {}
    for edge in piece.outline:
        allowance = piece.allowances.get(edge.name, NONE)
        kind = piece.finishes[edge.name].kind
        finish = (
            "turned over along it, nothing added"
            if turned_over and kind == "fold"
            else FINISHES[kind]
        )
        key = (finish, allowance.width_mm, allowance.turn_under_mm)
        groups.setdefault(key, []).append(edge.name)
    for (finish, width_mm, turn_under_mm), edges in groups.items():
        yield EdgeFinish(", ".join(edges), finish, width_mm, turn_under_mm)
