"""The pattern at true scale: tiled on A4 or Letter, or on large sheets for a print shop.

`pattern_of` works out what to show, templates/handouts/pattern.html says how.
"""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated, Final

import shapely
from markupsafe import Markup, escape

from webapp.draft.results import Piece
from webapp.handouts.cautions import CAUTIONS, CautionText
from webapp.handouts.companion import issue_of
from webapp.handouts.pattern_first import (
    BodyTable,
    KeyLine,
    body_table,
    key_of,
    sizes_above,
    sizes_in_brief,
    sizes_in_words,
)
from webapp.handouts.pattern_ink import wide, wrapped
from webapp.handouts.pattern_lettering import added_words
from webapp.handouts.pattern_map import MapName, map_drawing, map_names, squares
from webapp.handouts.pattern_pages import Page, pages_of, tile_tags
from webapp.handouts.pattern_pieces import Nest, nests_of
from webapp.handouts.pattern_tiles import (
    Layout,
    PatternPaper,
    format_of,
    lay_out,
    lay_out_sheet,
    tags_of,
    written,
)
from webapp.handouts.printing import pdf_of
from webapp.handouts.templating import render as fill
from webapp.plan.editions import EditionState, edition_state
from webapp.plan.misleading import misleading_threads
from webapp.plan.results import Plan
from webapp.units import System, centimetres, inches

_MAP_MM: Final = (92.0, 104.0)
_LEAST_MAP_MM: Final = 55.0
_TABLE_LINE_MM: Final = 5.0
_SIZES_ON_PIECES: Final = 40  # letters
_PANEL_MM: Final = (262.0, 91.0)  # its width; the height of the squares, headings and gaps
_PANEL_EM: Final = 70.0
_PANEL_WHAT_EM: Final = 30.0  # what stands around the sizes
_PANEL_TITLE_EM: Final = 36.0
_PANEL_TOLD_EM: Final = 37.0  # beside the squares
_PANEL_TOLD_LINES: Final = 6  # what is always told there
_PANEL_SQUARE_LINES: Final = 8
_PANEL_COLUMN_EM: Final = 32.0
_LIST_LINE_MM: Final = 4.8
_KEY_LINE: Final = 1.15  # of those
_TITLE_LINE_MM: Final = 8.0
_NAMED: Final = 8  # pieces listed in one sentence
_MOST_PAGES: Final = 300  # more than anyone joins; a large sheet is the way then
_FRACTION: Final = re.compile(r"\d+/\d+")
_SIMPLE: Final = re.compile(r"(?<!\d )\b([\d./]+) (cm|in)\b")
_MIXED: Final = re.compile(r"\d+ <span[^>]*>\d+/\d+</span>[ \u00a0]in\b")
_HEAD_EM: Final = 44.0  # the widest line above a page, without its label and number


@dataclass(frozen=True)
class PieceRow:
    """A piece in the list of what there is to cut."""

    name: Annotated[str, "its name"]
    cut: Annotated[str, "its cutting line, such as Cut 2"]
    cloth: Annotated[str, "the cloth it is cut from; empty when there is only one"]
    pages: Annotated[str, "the labels of the pages it lies on"]
    added: Annotated[tuple[tuple[Markup, str], ...], "what is added, and outside which edges"]


@dataclass(frozen=True)
class Pattern:
    """All of the pattern's sheets."""

    paper: Annotated[PatternPaper, "what it is laid out for"]
    page_css: Annotated[str, "the size of a page; empty on large sheets, which have their own"]
    edges: Annotated[str, "overlap or butt; empty when no page is joined to another"]
    channel: Annotated[str, "who makes the video; may be empty"]
    issue: Annotated[str, "series and number; may be empty"]
    title: Annotated[str, "the episode's title"]
    head: Annotated[str, "what stands above each page: title, sizes and whether it is a draft"]
    edition: Annotated[str, "which edition it is"]
    misleads: Annotated[bool, "True while loose threads would mislead those who cut by it"]
    first_unit: Annotated[System, "the unit that stands first"]
    sizes: Annotated[str, "the sizes it is drawn in, in words"]
    nested: Annotated[bool, "True with several sizes over each other"]
    bodies: Annotated[BodyTable | None, "the body measures by size, where there is room for them"]
    squares: Annotated[Markup, "the test squares as SVG"]
    square_words: Annotated[tuple[str, str], "the side of each, in both units"]
    map: Annotated[Markup, "the pages and the pieces on them as SVG"]
    map_names: Annotated[tuple[MapName, ...], "the pieces' names on it"]
    key: Annotated[tuple[KeyLine, ...], "every kind of line there is"]
    pieces: Annotated[tuple[PieceRow, ...], "every piece"]
    pages: Annotated[tuple[Page, ...], "the pages at true scale"]
    panel: Annotated[str, "where the title block stands on a large sheet, as CSS; else empty"]
    panel_on: Annotated[str, "the label of that sheet"]
    told: Annotated[tuple[str, ...], "what else there is to know, in sentences"]
    caution: Annotated[CautionText, "the usual caution for cutting"]


def pattern_pdf(
    plan: Plan, paper: PatternPaper, edition: EditionState | None = None
) -> bytes | None:
    """The pattern as a PDF, the same bytes for the same plan; None without pieces.

    `plan` is that of the episode as it is printed (`plan.edits.as_printed`), `edition` the
    episode's own where that is drawn for another size. ValueError for a roll of paper that cannot
    be, PdfToolsMissingError when this computer cannot print PDF files.
    """
    html = pattern_html(plan, paper, edition)
    return pdf_of(html) if html else None


def pattern_html(plan: Plan, paper: PatternPaper, edition: EditionState | None = None) -> str:
    """The same as one HTML document that leans on the style sheets below /static/css/."""
    pattern = pattern_of(plan, paper, edition)
    return fill("handouts/pattern.html", pattern) if pattern else ""


def pattern_of(
    plan: Plan, paper: PatternPaper, edition: EditionState | None = None
) -> Pattern | None:
    """Everything the pattern's sheets show; None without pieces."""
    names, nests = nests_of(plan)
    if not nests:
        return None
    episode, first = plan.episode, plan.episode.first_unit
    choices = episode.print_choices
    misleads = bool(misleading_threads(plan))
    cloths = len({nest.piece.cloth for nest in nests}) > 1
    sizes = sizes_in_words(names)
    on_pieces = sizes if len(sizes) <= _SIZES_ON_PIECES else sizes_in_brief(names)
    bodies = None if paper == "sheet" else body_table(plan, names)
    large = paper == "sheet"
    form = format_of(paper, choices.edges, choices.roll_width_mm(first) if large else 0.0)
    tags = tags_of(nests, _short(on_pieces, _SIZES_ON_PIECES), cloths)
    panel = _PANEL_MM[0], _panel_height(plan, sizes, nests, names)
    layout = lay_out_sheet(nests, tags, form, panel) if large else lay_out(nests, tags, form)
    too_many = not large and len(layout.tiles) > _MOST_PAGES
    panel_css, panel_on = _panel_place(layout)
    map_, scale = map_drawing(layout, _MAP_MM[0], _map_height(bodies))
    return Pattern(
        paper=paper,
        page_css="" if large else f"{form.width:g}mm {form.height:g}mm",
        edges=("butt" if not form.strip else "overlap") if layout.edges else "",
        channel=episode.channel,
        issue=issue_of(plan),
        title=episode.title,
        head=_head(episode.title, sizes_above(names), draft=misleads),
        edition=(edition or edition_state(plan)).told,
        misleads=misleads,
        first_unit=first,
        sizes=sizes,
        nested=len(names) > 1,
        bodies=bodies,
        squares=squares(),
        square_words=_square_words(first),
        map=map_,
        map_names=tuple(map_names(layout, scale)),
        key=tuple(key_of(names, nests, bool(layout.edges))),
        pieces=tuple(_rows(layout, cloths, first)),
        pages=()
        if too_many
        else tuple(_drawn(plan, layout, _short(on_pieces, _SIZES_ON_PIECES), cloths)),
        panel=panel_css,
        panel_on=panel_on,
        told=tuple(_too_many(layout) if too_many else _told(layout) if large else ()),
        caution=CAUTIONS["blades"],
    )


def _drawn(plan: Plan, layout: Layout, sizes: str, cloths: bool) -> list[Page]:
    """Every page with its lines and words: what is placed first has the most room."""
    ink = layout.ink()
    joins = layout.joins(ink)
    labels = [None] * len(layout.tiles) if layout.panel else tile_tags(layout, ink)
    told = written(layout, ink, plan.episode.first_unit, sizes, cloths)
    return pages_of(layout, ink, joins, told, labels, plan.episode.title)


def _too_many(layout: Layout) -> Iterator[str]:
    yield (
        f"At true scale this pattern takes {len(layout.tiles):,} pages of this paper, more than "
        "can well be joined. They are not printed here: have it printed on large sheets."
    )


def _map_height(bodies: BodyTable | None) -> float:
    """How tall the map may be, mm, with a narrow table below it."""
    below = _TABLE_LINE_MM * (len(bodies.rows) + 3) if bodies and bodies.is_narrow else 0.0
    return max(_MAP_MM[1] - below, _LEAST_MAP_MM)


def _panel_height(plan: Plan, sizes: str, nests: Sequence[Nest], names: Sequence[str]) -> float:
    """Room for all that the title block holds, mm; rather too much than too little."""
    episode, pieces = plan.episode, [nest.piece for nest in nests]
    imprint = episode.channel, issue_of(plan)
    on_one_line = sum(map(wide, imprint)) < _PANEL_EM
    head = 1 if on_one_line else sum(_lines(one, _PANEL_EM) for one in imprint)
    head += _lines(sizes, _PANEL_EM - _PANEL_WHAT_EM) + 2 * bool(misleading_threads(plan))
    title = _lines(episode.title, _PANEL_TITLE_EM)
    # At worst every piece is turned, and told so beside the squares, which are eight lines high.
    turned = _lines("".join(piece.name for piece in pieces[:_NAMED]), _PANEL_TOLD_EM) + 2
    check = max(0, turned + _PANEL_TOLD_LINES - _PANEL_SQUARE_LINES)
    key = [len(line.words.split("\n")) for line in key_of(names, nests, joined=False)]
    rows = sum(max(key[at : at + 2]) for at in range(0, len(key), 2)) + 3 * (len(names) > 1)
    words = (f"{nest.piece.name}: {nest.cut_words}, from {nest.piece.cloth}" for nest in nests)
    listed = [_lines(one, _PANEL_COLUMN_EM) for one in words]
    lines = head + check + rows * _KEY_LINE + math.ceil(sum(listed) / 2) + max(listed) / 2
    return _PANEL_MM[1] + _LIST_LINE_MM * lines + _TITLE_LINE_MM * title


def _lines(text: str, widest_em: float) -> int:
    """How many lines a text takes, or one more."""
    return 1 + int(wide(text) / widest_em)


def _panel_place(layout: Layout) -> tuple[str, str]:
    """Where the title block stands, and on which sheet."""
    panel = layout.panel
    if panel is None:
        return "", ""
    (tile,) = (t for t in layout.tiles if t.cell.contains(shapely.Point(panel.left, panel.top)))
    left, top = panel.left - tile.left, panel.top - tile.top
    size = f"width:{panel.width:.2f}mm;height:{panel.height:.2f}mm"
    return f"left:{left:.2f}mm;top:{top:.2f}mm;{size}", tile.label


def _told(layout: Layout) -> Iterator[str]:
    """What a print shop's sheets need said: pieces in parts, several sheets."""
    for placed in layout.placed:
        on = [tile for tile in layout.tiles if placed.covered.intersection(tile.cell).area > 0.01]
        if len(on) > 1:
            yield (
                f"{placed.nest.piece.name} is larger than the sheet, so it is printed in "
                f"{len(on)} parts, on {', '.join(tile.label for tile in on)}."
            )
    if layout.edges:
        yield (
            "Trim parts along the lines with scissors, lay them edge to edge so that the rings "
            "come whole, and tape them on the back."
        )
    turned = [placed.nest.piece.name for placed in layout.placed if placed.turned]
    if turned:
        which = ", ".join(turned) if len(turned) <= _NAMED else f"{len(turned)} pieces"
        yield f"Turned to save paper, so look for the grain arrow: {which}."


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _head(title: str, sizes: str, *, draft: bool) -> str:
    """What stands above each page, the title cut off where it would run off the page."""
    rest = " · ".join(("", sizes, *["draft edition"] * draft))
    return wrapped(title, _HEAD_EM - wide(rest), 1)[0] + rest


def _square_words(first: System) -> tuple[str, str]:
    """5 cm and 2 in, each with the other unit to its nearest 1/32 in or 0.01 cm."""
    pairs = (("5 cm", inches(50.0, 1 / 32)), (centimetres(50.8, 0.01), "2 in"))
    small, large = (f"{cm} ({inch})" if first == "cm" else f"{inch} ({cm})" for cm, inch in pairs)
    return small, large


def _added(piece: Piece, first: System) -> Iterator[tuple[Markup, str]]:
    """What is added outside the edges, those alike together; nothing is at a fold."""
    groups: dict[str, list[str]] = {}
    for edge in piece.outline:
        if not (piece.on_fold and edge.on_fold):
            groups.setdefault(added_words(piece, edge, first), []).append(edge.name)
    for added, edges in groups.items():
        yield _set(added), ", ".join(edges)


def _set(words: str) -> Markup:
    """Words whose lengths stay on one line each, their fractions set as fractions.

    As `templating.unbroken` does, but only 1 1/4 in has a box: boxes take long to set.
    """
    whole = _SIMPLE.sub("\\g<1>\u00a0\\g<2>", str(escape(words))).replace(" (", "\u00a0(")
    fractions = _FRACTION.sub(r'<span class="frac">\g<0></span>', whole)
    return Markup(_MIXED.sub(r'<span class="one">\g<0></span>', fractions))


def _rows(layout: Layout, cloths: bool, first: System) -> Iterator[PieceRow]:
    for placed, area in zip(layout.placed, layout.areas, strict=True):
        piece = placed.nest.piece
        on = [
            tile.label
            for tile in layout.tiles
            if area.intersects(tile.cell) and area.intersection(tile.cell).area > 0.01
        ]
        yield PieceRow(
            name=piece.name,
            cut=placed.nest.cut_words,
            cloth=piece.cloth if cloths else "",
            pages=", ".join(on),
            added=tuple(_added(piece, first)),
        )
