"""The form that says what a step works on, and how: its minutes are computed from that."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from webapp.build.rates import RATES
from webapp.draft.construction import EdgeUse, Step, Work, WorkKind
from webapp.draft.evaluate import Draft
from webapp.pages.forms import Answers, Field, needed, one_of, ticked, whole_number
from webapp.pages.seam_fields import edge_uses_shown

KINDS: Final[Mapping[WorkKind, str]] = {
    "draw": "Draw and mark",
    "cut": "Cut out",
    "pin": "Pin or clip",
    "machine": "Sew by machine",
    "overlock": "Overlock",
    "hand": "Sew by hand",
    "press": "Press",
    "turn": "Turn right side out",
    "try on": "Try on",
    "other": "Other work",
}
_NO_SEAM: Final[Mapping[WorkKind, str]] = {
    "draw": "A seam is sewn, not drawn; tick the pieces, or choose an edge.",
    "cut": "A seam is sewn, not cut out; tick the pieces, or choose an edge.",
}
# What the camera sees of long work; build.extents says how much that is.
_FIRST: Final[Mapping[WorkKind, str]] = {"draw": "the first line", "press": "the beginning"}
_FIRST_LENGTH: Final = "the first 10 cm (4 in)"
_OF_NO_LENGTH: Final = ("try on", "other")
_HAND: Final = "hand: "
_TOOLS: Final = ("scissors", "rotary cutter")
HAND_STITCHES: Final = tuple(
    key.removeprefix(_HAND) for key in RATES if key.startswith(_HAND) and key != "hand: handling"
)


@dataclass(frozen=True)
class WorkView:
    """What a step works on so far, each by its place, and what else it can work on."""

    done: tuple[tuple[int, str], ...]
    pieces: tuple[str, ...]
    seams: tuple[str, ...]
    edges: tuple[str, ...]

    @property
    def kinds(self) -> tuple[tuple[str, str], ...]:
        """The kinds of work with their words."""
        return tuple(KINDS.items())

    @property
    def edge_choices(self) -> list[tuple[str, str]]:
        """The edges to choose from, each with its words, after none."""
        return [("", "None"), *((edge, edge) for edge in self.edges)]

    @property
    def stitches(self) -> tuple[str, ...]:
        """The stitches sewn by hand."""
        return HAND_STITCHES

    @property
    def tools(self) -> tuple[str, ...]:
        """What is cut with."""
        return _TOOLS


def work_view(step: Step, draft: Draft) -> WorkView:
    """What a step of this garment works on; minutes typed by hand have their own fields."""
    listed = tuple(
        (at, work_words(one))
        for at, one in enumerate(step.work)
        if one.kind != "other" or one.minutes is None
    )
    return WorkView(
        listed,
        tuple(piece.name for piece in draft.recipe.pieces),
        tuple(seam.name for seam in draft.recipe.seams),
        tuple(f"{piece.name}.{edge.name}" for piece in draft.pieces for edge in piece.outline),
    )


def work_words(work: Work) -> str:
    """One kind of work and what it is on: `Sew by machine: Shoulder seams, 2 × Front.hem`."""
    how = work.stitch if work.kind == "hand" else work.tool if work.kind == "cut" else ""
    first = _FIRST.get(work.kind, _FIRST_LENGTH)
    part = {"all": "", "the first": f", {first}", "the rest": ", the rest"}[work.of_it]
    edges = (edge_uses_shown(work.edges),) if work.edges else ()
    on = ", ".join((*work.pieces, *work.seams, *edges))
    return f"{KINDS[work.kind]}{f' ({how})' if how else ''}{part}{f': {on}' if on else ''}"


def work_fields(view: WorkView) -> tuple[Field, ...]:
    """How the form of one kind of work is read: a tick for each piece and seam, and one edge."""
    fields = (
        Field("kind", one_of(KINDS)),
        *(Field(f"piece {name}", ticked) for name in view.pieces),
        *(Field(f"seam {name}", ticked) for name in view.seams),
        Field("edge", one_of(("", *view.edges))),
        Field("times", whole_number(1, 100)),
        Field("stitch", one_of(HAND_STITCHES)),
        Field("tool", one_of(_TOOLS)),
    )
    return needed(fields, "kind")


def with_something(answers: Answers) -> Answers:
    """The answers, with an error when what is said is nothing this kind of work could be on."""
    kind = answers.values.get("kind")
    refused = _NO_SEAM.get(kind) if kind else None
    if refused and _ticked(answers.values, "seam "):
        return answers.failed(refused, "on")
    if answers.errors or kind in _OF_NO_LENGTH or _on(answers.values, "edge"):
        return answers
    if any(value is True for value in answers.values.values()):
        return answers
    return answers.failed("Tick the piece or the seam that is worked on, or choose an edge.", "on")


def work_of(values: Mapping[str, Any]) -> Work:
    """The work as it was answered."""
    edge, kind = _on(values, "edge"), values["kind"]
    return Work(
        kind=kind,
        pieces=_ticked(values, "piece "),
        seams=_ticked(values, "seam "),
        edges=(EdgeUse(edge=edge, times=values.get("times") or 1),) if edge else (),
        tool=values.get("tool", _TOOLS[0]) if kind == "cut" else _TOOLS[0],
        stitch=values.get("stitch", HAND_STITCHES[0]) if kind == "hand" else "",
    )


def _on(values: Mapping[str, Any], name: str) -> str:
    return str(values.get(name, ""))


def _ticked(values: Mapping[str, Any], what: str) -> tuple[str, ...]:
    return tuple(
        name.removeprefix(what)
        for name, value in values.items()
        if name.startswith(what) and value is True
    )
