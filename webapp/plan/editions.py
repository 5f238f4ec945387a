"""Editions of the companion: what viewers have, what the sheet shows now, and what is different.

An edition keeps its figures as they were printed (`plan.printed`). It is never changed and never
taken out; the sheet as it stands is that edition until a figure of it is shown otherwise.
"""

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby

from webapp.errors import RecipeError
from webapp.filming.shoot_days import told_day
from webapp.plan.edits import changed
from webapp.plan.episode import Edition, Episode, PrintedFigure
from webapp.plan.printed import FINISH, printed_figures
from webapp.plan.results import Plan
from webapp.plan.shown import Kind, Shown
from webapp.units import System

_Key = tuple[str, str]  # what it is, and the size; the size is empty when it has none
_Table = Mapping[_Key, Shown]
ADDED, GONE = "not in it", "no longer in it"


@dataclass(frozen=True, slots=True)
class EditionChange:
    """A figure that is shown otherwise, in the sizes in which it changed alike.

    None where it is not there. A whole piece or size that came or went is one change.
    """

    what: str
    sizes: tuple[str, ...]
    old: Shown | None
    new: Shown | None
    kind: Kind = ""

    @property
    def name(self) -> str:
        """What it is, in words: Front hem."""
        return in_words(self.what)

    def told(self, first: System) -> tuple[str, str]:
        """As it was and as it is, in both units."""
        return (
            self.old.in_both(first) if self.old else ADDED,
            self.new.in_both(first) if self.new else GONE,
        )


@dataclass(frozen=True)
class EditionState:
    """Which edition the sheet is as it stands, and what changed in it since the one before it."""

    number: int
    is_draft: bool  # not numbered: some figure is not what the last edition says
    day: date | None  # on which it was numbered, if that is known
    since: int | None  # the number of the edition before it
    changes: tuple[EditionChange, ...]
    last: Edition | None = None  # what viewers have
    on_camera: str = ""  # the name of the body on camera

    @property
    def called(self) -> str:
        """`Edition 2` or `Draft of edition 2`."""
        return f"{'Draft of edition' if self.is_draft else 'Edition'} {self.number}"

    @property
    def told(self) -> str:
        """The same with its day."""
        return f"{self.called}, {told_day(self.day)}" if self.day else self.called

    def for_size(self, size: str) -> "EditionState":
        """The same with the changes that a sheet drawn for this size shows.

        It tells by size what is bought and measured, and cuts its pieces in its own size alone.
        """
        shown = []
        for one in self.changes:
            if one.kind != "cut" or not one.sizes:
                shown.append(one)
            elif size in one.sizes:
                shown.append(replace(one, sizes=()))
        return replace(self, changes=tuple(shown))


def in_words(what: str) -> str:
    """What a figure is: Front hem for Front.hem."""
    piece, dot, rest = what.partition(".")
    return f"{piece} {rest}" if dot and rest[:1].strip() else what


def last_edition(episode: Episode) -> Edition | None:
    """The edition that viewers have; None before the first."""
    return max(episode.editions, key=lambda one: one.number, default=None)


def edition_now(plan: Plan, *, with_lays: bool = True) -> Edition:
    """The sheet as it stands, as the edition after the last."""
    known = vars(plan).setdefault("_editions_now", {})  # a plan is never altered
    if with_lays not in known:
        last = last_edition(plan.episode)
        known[with_lays] = Edition(
            number=last.number + 1 if last else 1,
            sizes=tuple(size.body.name for size in plan.sizes),
            lays=lays_key(plan),
            figures=printed_figures(plan, with_lays=with_lays),
        )
    found: Edition = known[with_lays]
    return found


def edition_state(plan: Plan) -> EditionState:
    """Which edition the sheet is. After the first, asks for the lays of every size as the sheet."""
    last, on_camera = last_edition(plan.episode), plan.episode.body.name
    if last is None:
        return EditionState(1, True, None, None, (), None, on_camera)
    now = edition_now(plan)
    changes = changes_between(last, now)
    if changes:
        return EditionState(now.number, True, None, last.number, changes, last, on_camera)
    earlier = [one for one in plan.episode.editions if one.number < last.number]
    before = max(earlier, key=lambda one: one.number, default=None)
    return EditionState(
        number=last.number,
        is_draft=False,
        day=last.day,
        since=before.number if before else None,
        changes=changes_between(before, last) if before else (),
        last=last,
        on_camera=on_camera,
    )


def with_edition(plan: Plan, day: date | None) -> Episode:
    """The episode with the sheet as it stands numbered on that day.

    RecipeError when there is no piece to print yet, or nothing changed since the last edition.
    """
    if not plan.pieces:
        raise RecipeError("There are no pieces yet, so there is no edition to number.")
    last, now = last_edition(plan.episode), edition_now(plan)
    if last and not changes_between(last, now):
        raise RecipeError(
            f"The companion shows what edition {last.number} shows, so no new edition is needed."
        )
    return changed(plan.episode, editions=(*plan.episode.editions, changed(now, day=day)))


def changes_since_last(plan: Plan) -> tuple[EditionChange, ...]:
    """What changed since the last edition, as far as that is known without laying where it can be.

    What no lay decides is compared first. Lengths of cloth are left out when that tells a change
    already; they are asked for only when all else is as it was and what they depend on is not.
    """
    last = last_edition(plan.episode)
    if last is None:
        return ()
    now = edition_now(plan, with_lays=False)
    unlaid = last.model_copy(update={"figures": tuple(f for f in last.figures if f.kind != "lay")})
    found = changes_between(unlaid, now)
    if found or now.lays == last.lays:
        return found
    return changes_between(last, edition_now(plan))


def lays_key(plan: Plan) -> str:
    """SHA-256, in hex, of all that lengths of cloth depend on: never the same for other lengths."""
    episode = plan.episode
    laid = sorted(
        (size.body.name, lay.cloth.name, lay.key, lay.known_problem, lay.squaring_mm, lay.risked,
         repr(lay.found.placements) if lay.found else "")
        for size in plan.sizes
        for lay in size.lays
    )  # fmt: skip
    others = [cloth.model_dump_json(exclude={"more_widths"}) for cloth in episode.other_cloths]
    # On another cloth the garments are drafted anew, and may take a figure that is hidden here.
    recipes = [one.model_dump_json() for one in episode.garments] if others else []
    no_length = {"description", "price", "more_widths"}
    cloths = [cloth.model_dump_json(exclude=no_length) for cloth in episode.cloths]
    kept = sorted((table.cloth, table.key, len(table.widths)) for table in episode.kept_ways)
    # Told only where there are any, so that editions of before they could be added know their lays.
    added = [(cloth.name, cloth.more_widths) for cloth in episode.cloths if cloth.more_widths]
    told = repr((laid, cloths, others, recipes, kept, *added))
    return hashlib.sha256(told.encode()).hexdigest()


# --- Two editions ----------------------------------------------------------------------------


def changes_between(old: Edition, new: Edition) -> tuple[EditionChange, ...]:
    """Every figure that is shown otherwise, in the order of the new edition, then what is gone.

    A size, a cloth, or a figure of the same piece, that has another name and else is told exactly
    alike is the same. What is told for the body on camera is compared when that is the same one,
    and a length of cloth where both tell it: one may not be worked out yet, or not any more.
    """
    old = _with_sizes_called(old, new)
    same_body = old.sizes[:1] == new.sizes[:1]
    old, new = _as_far_told(old, new), _as_far_told(new, old)
    was, now = _table(old, same_body), _table(new, same_body)
    was = _called_anew(was, now)
    kinds = {figure.what: figure.kind for figure in (*old.figures, *new.figures)}
    sizes = tuple(dict.fromkeys((*new.sizes, *old.sizes)))
    there = [set(old.sizes), set(new.sizes)]
    one_sided = there[0] ^ there[1]
    found = [_as_a_whole(f"Size {size}", size in there[0]) for size in sizes if size in one_sided]
    whole = dict(_whole_pieces(was, now, kinds))
    found += [_as_a_whole(piece, gone) for piece, gone in whole.items()]
    before, after = ({what for what, _ in table} for table in (was, now))
    finishes = all(any(what.endswith(FINISH) for what in table) for table in (before, after))

    def unknown(what: str) -> bool:
        """Lays may not be worked out yet; an edition of long ago tells no finishes."""
        return kinds[what] == "lay" or (what.endswith(FINISH) and not finishes)

    for what in dict.fromkeys(key[0] for key in (*now, *was)):
        one_tells = (what in before) != (what in after)
        if (kinds[what] == "cut" and _piece(what) in whole) or (one_tells and unknown(what)):
            continue
        alike: dict[tuple[Shown | None, Shown | None], list[str]] = {}
        for size in ("", *sizes):
            pair = was.get((what, size)), now.get((what, size))
            if size not in one_sided and pair[0] != pair[1]:
                alike.setdefault(pair, []).append(size)
        for pair, named in alike.items():
            shared = _all_of_them(named, was, now, what)
            found.append(EditionChange(what, shared, *pair, kinds[what]))
    return tuple(_once(found))


def _once(changes: Iterable[EditionChange]) -> Iterator[EditionChange]:
    """A choice and the figure of a piece that comes of it may be called alike: told once."""
    told = set()
    for one in changes:
        told_as = (one.name.casefold(), one.sizes, one.old, one.new)
        if told_as not in told:
            told.add(told_as)
            yield one


def _as_a_whole(what: str, gone: bool) -> EditionChange:
    """A size or a piece that came or went."""
    there = Shown("in it")
    return EditionChange(what, (), there if gone else None, None if gone else there)


def _all_of_them(named: Sequence[str], was: _Table, now: _Table, what: str) -> tuple[str, ...]:
    """The sizes by name; none when the figure has no other sizes."""
    has = {size for key, size in (*was, *now) if key == what}
    return () if named == [""] or set(named) == has else tuple(named)


def _table(edition: Edition, with_body: bool) -> dict[_Key, Shown]:
    found: dict[_Key, Shown] = {}
    for figure in edition.figures:
        if figure.by == "body" and not with_body:
            continue
        for size, shown in zip(_sizes_of(figure, edition), _shown(figure), strict=True):
            if shown.cm:
                found[figure.what, size] = shown
    return found


def _as_far_told(edition: Edition, other: Edition) -> Edition:
    """The edition; what the other tells of the body on camera alone, of that alone too."""
    alone = {figure.what for figure in other.figures if figure.by == "body"}
    figures = (
        one.model_copy(update={"by": "body", "cm": one.cm[:1], "inch": one.inch[:1]})
        if one.by == "size" and one.what in alone
        else one
        for one in edition.figures
    )
    return edition.model_copy(update={"figures": tuple(figures)})


def _sizes_of(figure: PrintedFigure, edition: Edition) -> Sequence[str]:
    return edition.sizes if figure.by == "size" else ("",)


def _shown(figure: PrintedFigure) -> Iterator[Shown]:
    inches = figure.inch or [""] * len(figure.cm)
    yield from (Shown(cm, inch) for cm, inch in zip(figure.cm, inches, strict=True))


def _with_sizes_called(old: Edition, new: Edition) -> Edition:
    """The old edition with the new names of sizes that are told exactly alike."""
    gone = [at for at, size in enumerate(old.sizes) if size not in new.sizes]
    come = [at for at, size in enumerate(new.sizes) if size not in old.sizes]
    if not gone or not come:
        return old
    told = {at: _in_size(new, at) for at in come}
    names = list(old.sizes)
    for at in gone:
        own = _in_size(old, at)
        same = next((other for other, shown in told.items() if shown == own), None)
        if same is not None:
            names[at] = new.sizes[same]
            del told[same]
    return old.model_copy(update={"sizes": tuple(names)})


def _in_size(edition: Edition, at: int) -> dict[str, Shown]:
    """What a size is told, without its lays: they may not have been asked for."""
    return {
        figure.what: [*_shown(figure)][at]
        for figure in edition.figures
        if figure.by == "size" and figure.kind != "lay"
    }


def _called_anew(was: dict[_Key, Shown], now: _Table) -> dict[_Key, Shown]:
    """The old figures; one of a piece, or all of a cloth, that only got another name under it."""
    before, after = _by_name(was), _by_name(now)
    come: dict[tuple[str, frozenset[tuple[str, Shown]]], list[str]] = {}
    for what, shown in after.items():
        if what not in before and _piece(what):
            come.setdefault((_piece(what), shown), []).append(what)
    names = {}
    for what, shown in before.items():
        alike = come.get((_piece(what), shown)) if what not in after else None
        if alike:
            names[what] = alike.pop(0)
    old, new = _by_cloth(before), _by_cloth(after)
    for name, figures in old.items():
        other = next((n for n, found in new.items() if found == figures and n not in old), None)
        if name not in new and other and len(figures) > 1:
            names |= {f"{name}, {rest}": f"{other}, {rest}" for rest in figures}
    return {(names.get(what, what), size): shown for (what, size), shown in was.items()}


def _by_name(table: _Table) -> dict[str, frozenset[tuple[str, Shown]]]:
    found: dict[str, set[tuple[str, Shown]]] = {}
    for (what, size), shown in table.items():
        found.setdefault(what, set()).add((size, shown))
    return {what: frozenset(shown) for what, shown in found.items()}


def _by_cloth(
    told: Mapping[str, frozenset[tuple[str, Shown]]],
) -> dict[str, dict[str, frozenset[tuple[str, Shown]]]]:
    """Figures told as “Main cloth, width”: by the name before the comma, then by the rest."""
    found: dict[str, dict[str, frozenset[tuple[str, Shown]]]] = {}
    for what, shown in told.items():
        name, comma, rest = what.partition(", ")
        if comma:
            found.setdefault(name, {})[rest] = shown
    return found


def _whole_pieces(
    was: _Table, now: _Table, kinds: Mapping[str, Kind]
) -> Iterator[tuple[str, bool]]:
    """The pieces that came or went as a whole, each with whether it went."""
    one, other = (
        dict.fromkeys(_piece(what) for what, _ in table if kinds[what] == "cut")
        for table in (was, now)
    )
    yield from ((piece, False) for piece in other if piece not in one)
    yield from ((piece, True) for piece in one if piece not in other)


def _piece(what: str) -> str:
    """The piece that a figure is of; empty for plain words."""
    piece, dot, rest = what.partition(".")
    return piece if dot and rest[:1].strip() else ""


def figures_in(changes: Sequence[EditionChange]) -> int:
    """How many figures changed, each once however many sizes it changed in."""
    return len([what for what, _ in groupby(one.what for one in changes)])
