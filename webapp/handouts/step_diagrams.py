"""A small drawing beside a step: its pieces to one scale, and what is sewn now in a heavy line.

Letters stand where the two sides of the seam come to lie together, A on A. A step of several seams
has them numbered, with a ring at the end where each begins.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from string import ascii_uppercase
from typing import Final
from xml.etree.ElementTree import Element

from markupsafe import Markup

from webapp.build.step_seams import Course, Meeting, Shown, Spot
from webapp.build.step_view import StepView, step_view
from webapp.draft import svg
from webapp.draft.allowances import NONE
from webapp.draft.drawing import BASELINE_EM
from webapp.draft.markings import Notch
from webapp.draft.outline import Point
from webapp.draft.sewn import along_mm, taken_up_in
from webapp.handouts.drawings import FACE, INK, sized
from webapp.handouts.step_layout import (
    LETTER,
    NAME,
    Layout,
    Lettering,
    Standing,
    along,
    laid_out,
    name_box,
)
from webapp.plan.results import Plan, StepPlan
from webapp.remembered import Same

THREAD: Final = "#93331f"  # the one colour: the heavy line is known by its weight in grey too
_HEAVY, _MEDIUM, _THIN, _DOTS, _HATCH, _TICK = 0.75, 0.4, 0.2, 0.34, 0.16, 0.4
_HATCH_EVERY: Final = 1.1
_SLANT: Final = 0.5  # how far a hatched line goes along for what it goes out
_SNIP: Final = 1.3  # how long a notch is
_SNIP_OFF: Final = 1.0  # a notch no further from a letter's place is not drawn
_WAVE, _SWELL = 0.9, 0.55  # of gathers: half a wave's length, and its height
_DISC: Final = 1.45
_MOST_RINGS: Final = 2
_FLAT: Final = 0.04

Line = list[Point]


@dataclass(frozen=True)
class _Lines:
    """What is drawn on the pieces, mm of paper."""

    now: list[Line]
    beside: list[Line]  # edges that are stitched as well, where a seam is what the step is about
    hidden: list[Line]  # dotted: sewn before
    hatch: list[Line]
    marked: list[Line]  # where what is sewn on will lie
    snips: list[Line]


def step_drawing(plan: Plan, step_plan: StepPlan) -> Markup:
    """The drawing of a step; empty where it sews nothing that is drafted, or nothing new."""
    # The steps as the drafts have them: episodes that are drafted alike have the same drafts.
    known = {step.id: step for draft in plan.drafts for step in draft.recipe.steps}
    *earlier, step = (known[each.step.id] for each in plan.steps[: step_plan.number])
    own = [draft for draft in plan.drafts if draft.recipe.name == step_plan.garment]
    others = [draft for draft in plan.drafts if draft.recipe.name != step_plan.garment]
    return _drawn(Same((step, tuple(earlier), (*own, *others))))


@lru_cache(maxsize=1000)  # some kB each; an edit of the shots leaves them as they are
def _drawn(of: Same) -> Markup:
    view = step_view(*of.values)
    return drawn(view) if view else Markup()


def drawn(view: StepView) -> Markup:
    """The view on paper, described in words."""
    spots = [spot for each in view.meetings for spot in _spots(each, len(view.meetings))]
    layout = laid_out(view, spots)
    lines = _lines(view, layout)
    title, told = described(view)
    root = svg.figure((0, 0, layout.width, layout.height), title, told)
    _pieces(root, layout)
    _strokes(root, lines.hatch, stroke=INK, stroke_width=_HATCH)
    dots = "0 0.8"
    _strokes(root, lines.hidden, stroke=INK, stroke_width=_DOTS, stroke_dasharray=dots)
    _strokes(root, lines.marked, stroke=INK, stroke_width=_THIN)
    _strokes(root, lines.beside, stroke=THREAD, stroke_width=_MEDIUM)
    _strokes(root, lines.now, stroke=THREAD, stroke_width=_HEAVY, stroke_linejoin="round")
    _strokes(root, lines.snips, stroke=THREAD, stroke_width=_TICK)
    _letters(root, view, layout, lines)
    return sized(svg.written(root), layout.width, layout.height)


# --- Lines -----------------------------------------------------------------------------------


def _lines(view: StepView, layout: Layout) -> _Lines:
    on_paper = {id(each.on): each for each in layout.standing}
    courses = [course for meeting in view.meetings for course in meeting.courses]
    stitched = [c for each in view.worked if each.stitched for c in each.courses]
    turned = [c for each in view.worked if each.turned for c in each.courses]
    lines = _Lines([], [], [], [], [], [])
    for course in (*courses, *stitched):
        stand = on_paper[id(course.on)]
        line = [stand.at(point) for point in course.points(_FLAT / stand.scale)]
        if _gathered(course):
            line = _waves(line)
        (lines.now if len(lines.now) < len(courses) or not courses else lines.beside).append(line)
    lettered_mm = [spot for m in view.meetings[:1] for spots in m.places for spot in spots]
    for course in courses:
        lines.snips.extend(_snips(course, on_paper[id(course.on)], lettered_mm))
    for drawn_on, into in ((view.darts, lines.now), (view.pockets, lines.marked)):
        for on, drawn_line in drawn_on:
            into.append([on_paper[id(on)].at(point) for point in drawn_line])
    for course in turned:
        lines.hatch.extend(_hatched(course, on_paper[id(course.on)]))
    for course in view.before:
        stand = on_paper[id(course.on)]
        lines.hidden.append([stand.at(point) for point in course.points(_FLAT / stand.scale)])
    return lines


def _gathered(course: Course) -> bool:
    return "gathers" in taken_up_in(course.edge, course.on.piece.markings)


def _waves(line: Line) -> Line:
    """The line in small waves, its ends where they were."""
    fine = along(line, 0.2)
    waved, gone = [], 0.0
    for before, after in pairwise((fine[0], *fine)):
        step = math.dist(before, after)
        gone += step
        if step == 0:
            waved.append(after)
            continue
        swell = _SWELL * math.sin(math.pi * gone / _WAVE)
        nx, ny = (after[1] - before[1]) / step, (before[0] - after[0]) / step
        waved.append((after[0] + swell * nx, after[1] + swell * ny))
    return waved


def _hatched(course: Course, stand: Standing) -> Iterator[Line]:
    """Slanting lines from the fold to the raw edge of what is turned under."""
    depth = course.on.piece.allowances.get(course.edge.name, NONE).total_mm
    length, every = course.edge.length_mm, _HATCH_EVERY / stand.scale
    for number in range(int(length / every) + 1):
        start = every * (number + 0.3)
        share = min(1.0, (length - start) / (_SLANT * depth))
        if share <= 0:
            return
        (x0, y0), _ = course.at(start)
        (x1, y1), (nx, ny) = course.at(start + share * _SLANT * depth)
        reach = share * depth
        yield [stand.at((x0, y0)), stand.at((x1 + reach * nx, y1 + reach * ny))]


def _snips(course: Course, stand: Standing, spots: Sequence[Spot]) -> Iterator[Line]:
    """Notches on an edge that is sewn, outwards; where a letter stands it says as much."""
    for mark in course.on.piece.markings:
        if isinstance(mark, Notch) and mark.edge == course.edge.name:
            drawn_mm = along_mm(course.edge, mark.at)
            apart = 0.45 / stand.scale
            for shift in (-apart, apart) if mark.double else (0.0,):
                point, (nx, ny) = course.at(min(max(drawn_mm + shift, 0.0), course.edge.length_mm))
                if any(
                    s.on is course.on and math.dist(s.at, point) < _SNIP_OFF / stand.scale
                    for s in spots
                ):
                    continue
                x, y = stand.at(point)
                yield [(x, y), (x + _SNIP * nx, y + _SNIP * ny)]


def _pieces(root: Element, layout: Layout) -> None:
    outlines = " ".join(svg.through(_short(each.outline), closed=True) for each in layout.standing)
    svg.add(
        root, "path", d=outlines, fill=INK, fill_opacity=0.05,
        stroke=INK, stroke_width=_THIN, stroke_linejoin="round",
    )  # fmt: skip
    names = svg.add(root, "g", fill=INK, font_size=NAME, font_family=FACE, text_anchor="middle")
    for line, (x, y) in (line for each in layout.standing for line in each.name):
        svg.add(names, "text", line, x=round(x, 1), y=round(y, 1))


def _strokes(root: Element, lines: Sequence[Line], **pen: str | float) -> None:
    if lines:
        d = " ".join(svg.through(_short(line)) for line in lines)
        svg.add(root, "path", d=d, fill="none", stroke_linecap="round", **pen)


def _short(line: Line) -> Line:
    """To a tenth of a millimetre of paper: finer than a pen."""
    return [(round(x, 1), round(y, 1)) for x, y in line]


# --- Letters ---------------------------------------------------------------------------------


def _letters(root: Element, view: StepView, layout: Layout, lines: _Lines) -> None:
    if not view.meetings:
        return
    on_paper = {id(each.on): each for each in layout.standing}
    heavy = [
        point for line in (*lines.now, *lines.beside, *lines.snips) for point in along(line, 0.5)
    ]
    light = [p for each in layout.standing for p in along(each.outline, 0.6, closed=True)]
    lettering = Lettering((0, 0, layout.width, layout.height), heavy, light)
    lettering.taken += [name_box(*line) for each in layout.standing for line in each.name]
    if len(view.meetings) == 1:
        _lettered(root, view.meetings[0], on_paper, lettering)
    else:
        _numbered(root, view.meetings, on_paper, lettering)


def _lettered(
    root: Element, meeting: Meeting, on_paper: dict[int, Standing], lettering: Lettering
) -> None:
    group = svg.add(
        root, "g", fill=INK, font_size=LETTER, font_family=FACE, font_weight="600",
        text_anchor="middle",
    )  # fmt: skip
    for letter, spots in lettered(meeting):
        for spot in spots:
            at = on_paper[id(spot.on)].at(spot.at)
            place = lettering.place(at, spot.off, 0.62 * LETTER, 0.78 * LETTER)
            if place:
                x, y = place
                svg.add(group, "text", letter, x=round(x, 1), y=round(y + BASELINE_EM * LETTER, 1))


def lettered(meeting: Meeting) -> list[tuple[str, tuple[Spot, ...]]]:
    """Each place of the seam with its letter; a side that ends where it began has one there."""
    groups: list[list[Spot]] = []
    for spots in meeting.places:
        group = next((g for g in groups if any(_same(a, b) for a in g for b in spots)), None)
        if group is None:
            groups.append(group := [])
        for spot in spots:
            if not any(_same(spot, other) for other in group):
                group.append(spot)
    return [(letter, tuple(group)) for letter, group in zip(_names(), groups, strict=False)]


def _names() -> Iterator[str]:
    yield from ascii_uppercase
    yield from (f"{one}{two}" for one in ascii_uppercase for two in ascii_uppercase)


def _same(one: Spot, other: Spot) -> bool:
    return one.on is other.on and math.dist(one.at, other.at) <= 1.0


def _numbered(
    root: Element, meetings: Sequence[Meeting], on_paper: dict[int, Standing], lettering: Lettering
) -> None:
    """A number on both sides of each seam, and a ring where it begins."""
    for number, meeting in enumerate(meetings, start=1):
        # Of more the rings would meet at every corner, and the numbers say enough.
        for spot in meeting.places[0] if meeting.places and len(meetings) <= _MOST_RINGS else ():
            x, y = on_paper[id(spot.on)].at(spot.at)
            svg.add(
                root,
                "circle",
                cx=round(x, 1),
                cy=round(y, 1),
                r=0.6,
                fill="#fff",
                stroke=THREAD,
                stroke_width=0.35,
            )
        for spot in _middles(meeting):
            place = lettering.place(
                on_paper[id(spot.on)].at(spot.at), spot.off, 2 * _DISC, 2 * _DISC
            )
            if place:
                x, y = (round(value, 1) for value in place)
                svg.add(root, "circle", cx=x, cy=y, r=_DISC, fill=INK)
                svg.add(
                    root, "text", str(number), x=x, y=round(y + BASELINE_EM * NAME, 1), fill="#fff",
                    font_size=NAME, font_family=FACE, font_weight="600", text_anchor="middle",
                )  # fmt: skip


def _spots(meeting: Meeting, of: int) -> Iterator[Spot]:
    """Where letters or numbers of a seam stand, of so many."""
    if of > 1:
        yield from _middles(meeting)
    else:
        yield from (spot for spots in meeting.places for spot in spots)


def _middles(meeting: Meeting) -> Iterator[Spot]:
    """The middle of each side; of one on several pieces, that of its longest edge."""
    for side in (meeting.one, meeting.other):
        if side:
            halves = len(side) == 2 and side[0].run.key == side[1].run.key  # they meet on the fold
            course = side[0] if halves else max(side, key=lambda each: each.run.length_mm)
            along_mm = course.run.length_mm * (1.0 if halves else 0.5)
            point, off = course.at(course.run.sewn.drawn_mm(course.run.flipped_mm(along_mm)))
            yield Spot(course.on, point, off, f"{course.on.piece.name} on {course.edge.name}")


# --- Words -----------------------------------------------------------------------------------


def described(view: StepView) -> tuple[str, str]:
    """A title, such as Front and Back: shoulder to shoulder; and what else the drawing shows."""
    said = [_meeting_words(meeting) for meeting in view.meetings]
    if len(said) == 1 and not view.worked and not view.darts:
        title, told = said[0], []
    else:
        title = _listed(dict.fromkeys(on.piece.name for on in view.shown))
        told = (
            [f"{n}: {words}." for n, words in enumerate(said, start=1)]
            if len(said) > 1
            else [f"{words}." for words in said]
        )
    for what, worked in (
        ("Stitched", [each for each in view.worked if each.stitched]),
        ("Turned under", [each for each in view.worked if each.turned]),
    ):
        if worked:
            told.append(f"{what}: {_listed(_edge_names(c for e in worked for c in e.courses))}.")
    if view.darts:
        told.append(f"Darts: {_listed(_pieces_of(view.darts))}.")
    if view.pockets:
        told.append(f"Its place is marked on {_listed(_pieces_of(view.pockets))}.")
    if len(view.meetings) == 1:
        for letter, spots in lettered(view.meetings[0]):
            told.append(f"{letter}: {_listed(dict.fromkeys(spot.told for spot in spots))}.")
    if any(meeting.again for meeting in view.meetings):
        told.append("The other half alike.")
    if view.before:
        told.append(f"Sewn already: {_listed(_edge_names(view.before))}.")
    return title, " ".join(told)


def _pieces_of(lines: Iterable[tuple[Shown, tuple[Point, ...]]]) -> Iterable[str]:
    return dict.fromkeys(on.piece.name for on, _ in lines)


def _meeting_words(meeting: Meeting) -> str:
    one, other = meeting.one, meeting.other
    pieces = list(dict.fromkeys(c.on.piece.name for c in (*one, *other)))
    if len(pieces) == 2 and len(one) == len(other) == 1:
        return f"{_listed(pieces)}: {one[0].edge.name} to {other[0].edge.name}"
    return f"{_listed(_edge_names(one))} to {_listed(_edge_names(other))}"


def _edge_names(courses: Iterable[Course]) -> Iterable[str]:
    return dict.fromkeys(f"{each.on.piece.name} {each.edge.name}" for each in courses)


def _listed(names: Iterable[str]) -> str:
    *some, last = list(names) or [""]
    return f"{', '.join(some)} and {last}" if some else last
