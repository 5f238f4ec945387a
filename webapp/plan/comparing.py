"""Two revisions beside each other: every figure that is shown otherwise, the outlines, the rest.

Cloth is not laid for it. Drafts are remembered by their content, so that only what was changed is
drafted anew.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, Literal

from webapp.build.work_time import minutes
from webapp.draft.evaluate import Draft, Piece
from webapp.draft.names import name_key, piece_key
from webapp.plan.episode import Episode, Revision
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.thread_and_needles import thread_of
from webapp.plan.thread_use import bought
from webapp.units import System, both_as_cut, both_called, parse_length

Kind = Literal["quoted", "as cut", "thread", "typed"]
ON_BODY, CHOICES, FINISHED, CHECKS, WORK = (
    "Body", "Choices", "Finished garment", "Checks on the body", "Thread and time"
)  # fmt: skip
_SAME_MM: Final = 1e-3  # of an outline: a micron is drawn and cut alike
_Key = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MovedFigure:
    """A figure that is shown otherwise in the other revision, mm; None where it is not there.

    What is no length, a bare number or the time of the work, is None too and told in words.
    """

    group: str
    name: str
    old_mm: float | None
    new_mm: float | None
    kind: Kind = "quoted"
    quoted: str = ""  # what a text quotes it by
    old_typed: str = ""
    new_typed: str = ""

    @property
    def gone(self) -> bool:
        """True when only the first revision has it."""
        return self.new_mm is None and not self.new_typed

    @property
    def new(self) -> bool:
        """True when only the second revision has it."""
        return self.old_mm is None and not self.old_typed

    def shown(self, first: System) -> tuple[str, str]:
        """As it was and as it is, in both units; empty where it is not there."""
        return (
            self._text(self.old_mm, self.old_typed, first),
            self._text(self.new_mm, self.new_typed, first),
        )

    def _text(self, value: float | None, typed: str, first: System) -> str:
        return _shown(_Figure(self.group, self.name, value, self.kind, self.quoted, typed), first)


@dataclass(frozen=True, slots=True)
class ComparedPiece:
    """A piece in both revisions; None in one that has not drawn it."""

    name: str
    garment: str  # id
    old: Piece | None
    new: Piece | None
    changed: bool  # its seam line or its cut line


@dataclass(frozen=True)
class Comparison:
    """What is different from `one` to `other`."""

    one: Revision
    other: Revision
    figures: tuple[MovedFigure, ...]
    pieces: tuple[ComparedPiece, ...]
    words: tuple[str, ...]  # what is no figure, a sentence each

    @property
    def is_same(self) -> bool:
        """True when nothing is told."""
        return not self.figures and not self.words and not any(p.changed for p in self.pieces)


def compare(one: Revision, other: Revision, episode: Episode | None = None) -> Comparison:
    """What is different in the other revision, each drafted on the body it was recorded with.

    Thread is counted with the episode's settings and cloths, work with its rates and times, both
    without an episode with the usual.
    """
    from webapp.plan.compared_words import words_of  # noqa: PLC0415 - it reads a View

    at = episode or Episode(id="compared", title="Compared")
    old, new = View(one, at), View(other, at)
    return Comparison(
        one=one,
        other=other,
        figures=tuple(_moved(old.figures, new.figures)),
        pieces=tuple(_pieces(old, new)),
        words=tuple(words_of(old, new)),
    )


@dataclass(frozen=True, slots=True)
class _Figure:
    group: str
    name: str
    value: float | None
    kind: Kind = "quoted"
    quoted: str = ""
    typed: str = ""


@dataclass(frozen=True)
class View:
    """A revision, drafted and counted."""

    revision: Revision
    at: Episode = field(repr=False)

    @cached_property
    def plan(self) -> Plan:
        """The revision as an episode without words, shots and lays."""
        living = {"cloths", "thread", "brief", "rates", "time_log", "earlier_times"}
        kept = {name: getattr(self.at, name) for name in living}
        recorded = {"body": self.revision.body, "garments": self.revision.garments}
        # Not checked anew: a revision may have more than can be added today.
        bare = Episode(id=self.at.id, title=self.at.title)
        episode = bare.model_copy(update=kept | recorded)
        return evaluate(episode)

    @property
    def drafts(self) -> tuple[Draft, ...]:
        """Each garment on the body of the revision."""
        return self.plan.drafts

    @cached_property
    def figures(self) -> Mapping[_Key, _Figure]:
        """Every figure, by what it is of and its name."""
        found = dict(self._of_body())
        for draft in self.drafts:
            found |= self._of_garment(draft)
        return found | dict(self._of_work())

    def _of_body(self) -> Iterator[tuple[_Key, _Figure]]:
        for name, typed in self.revision.body.measures.items():
            try:
                mm = parse_length(typed, None).mm
            except ValueError:
                yield (ON_BODY, name_key(name)), _Figure(ON_BODY, name, None, "typed", "", typed)
            else:
                yield (ON_BODY, name_key(name)), _Figure(ON_BODY, name, mm, quoted=name)

    def _of_garment(self, draft: Draft) -> Iterator[tuple[_Key, _Figure]]:
        garment, several = draft.recipe.id, len(self.drafts) > 1

        def group(name: str) -> str:
            return f"{name}, {draft.recipe.name}" if several else name

        names, shown = draft.names, draft.shown_mm
        for choice in draft.recipe.choices:
            value = names.get(name_key(choice.name))
            length = value.value if value and value.dimension == 1 else None
            kind: Kind = "typed" if length is None else "quoted"
            yield (
                (garment, CHOICES, name_key(choice.name)),
                _Figure(group(CHOICES), choice.name, length, kind, choice.name, choice.value),
            )
        allowance = names.get("seam allowance")
        if allowance:
            yield (
                (garment, CHOICES, "seam allowance"),
                _Figure(
                    group(CHOICES),
                    "seam allowance",
                    allowance.value,
                    "quoted",
                    "seam allowance",
                    draft.recipe.seam_allowance,
                ),
            )
        for piece in draft.pieces:
            for name, mm in piece.figures_mm.items():
                key = name_key(f"{piece.name}.{name}")
                yield (
                    (garment, piece_key(piece.name), name_key(name)),
                    _Figure(piece.name, name, shown.get(key, mm), quoted=f"{piece.name}.{name}"),
                )
            half = ", half of it on the fold" if piece.on_fold else ""
            for way, mm in zip((f"across{half}", "down"), piece.cut_size_mm, strict=True):
                yield (
                    (garment, piece_key(piece.name), f"cut size {way[:6]}"),
                    _Figure(piece.name, f"cut size {way}", mm, "as cut"),
                )
        for name, mm in draft.finished_mm.items():
            yield (
                (garment, FINISHED, name_key(name)),
                _Figure(group(FINISHED), name, mm, quoted=name),
            )
        for check in draft.checks:
            for what, mm in (
                (check.name, check.garment_mm),
                (f"{check.name}, at least", check.at_least_mm),
            ):
                yield (garment, CHECKS, name_key(what)), _Figure(group(CHECKS), what, mm, "as cut")

    def _of_work(self) -> Iterator[tuple[_Key, _Figure]]:
        thread_mm = thread_of(self.plan).total.total_mm
        if thread_mm:
            yield (WORK, "thread"), _Figure(WORK, "thread in all", thread_mm, "thread")
        if likely := self.plan.work.likely:
            shown = minutes(likely)
            yield (WORK, "work"), _Figure(WORK, "work in all", None, "typed", typed=shown)


def _moved(old: Mapping[_Key, _Figure], new: Mapping[_Key, _Figure]) -> Iterator[MovedFigure]:
    """The figures that are shown otherwise, each group together, in the order they are come to."""
    rows: dict[str, list[MovedFigure]] = {}
    for key in {**new, **old}:
        was, now = old.get(key), new.get(key)
        one = now or was
        assert one is not None
        if was and now and _shown(was, "cm") == _shown(now, "cm"):
            continue
        rows.setdefault(one.group, []).append(
            MovedFigure(
                group=one.group,
                name=one.name,
                old_mm=was.value if was else None,
                new_mm=now.value if now else None,
                kind=one.kind,
                quoted=one.quoted,
                old_typed=was.typed if was else "",
                new_typed=now.typed if now else "",
            )
        )
    for group in rows.values():
        yield from group


def _shown(figure: _Figure, first: System) -> str:
    """A figure in both units, as it is shown everywhere."""
    value = figure.value
    if value is None:
        return figure.typed
    if figure.kind == "thread":
        return bought(value, first)
    if figure.kind == "as cut":
        return both_as_cut(value, first)
    return both_called(figure.quoted, value, first)


def _pieces(old: View, new: View) -> Iterator[ComparedPiece]:
    """Every piece that either has drawn, in the order of the second revision."""
    was = dict(_drawn(old))
    now = dict(_drawn(new))
    for key in {**now, **was}:
        one, other = was.get(key), now.get(key)
        there = other or one
        assert there is not None
        alike = one is not None and other is not None and _alike(one, other)
        yield ComparedPiece(there.name, key[0], one, other, not alike)


def _drawn(view: View) -> Iterator[tuple[tuple[str, str], Piece]]:
    for draft in view.drafts:
        for piece in draft.pieces:
            yield (draft.recipe.id, name_key(piece.name)), piece


def _alike(one: Piece, other: Piece) -> bool:
    """True when both are drawn and cut along the same lines."""
    return one is other or all(
        len(a) == len(b)
        and all(
            abs(x - u) <= _SAME_MM and abs(y - v) <= _SAME_MM
            for (x, y), (u, v) in zip(a, b, strict=True)
        )
        for a, b in (
            (one.seam_points, other.seam_points),
            (one.cut_points, other.cut_points),
        )
    )
