"""Extras from an episode's offcuts: the cloth there is, what is tried, and how one is added."""

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.cloth.laid import Cloth, Lay, Placement
from webapp.cloth.lay import lay_from
from webapp.cloth.offcuts import Offcut, offcuts
from webapp.draft.names import name_key
from webapp.draft.recipe import Body, Recipe
from webapp.errors import LayError
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.lays import LayPlan
from webapp.plan.leftover_misses import Tried, tried
from webapp.plan.leftovers import Extra, Fit, extras_that_fit
from webapp.plan.starters import with_garment_added
from webapp.remembered import Remembered
from webapp.units import parse_length

_KEPT: Final = 32
_found: Final[Remembered[tuple[object, ...], tuple[Offcut, ...]]] = Remembered(_KEPT)


@dataclass(frozen=True)
class Candidate:
    """A recipe that could become an extra; `key` is its own among all that are offered."""

    key: str
    recipe: Recipe


@dataclass(frozen=True)
class Possible:
    """An extra that can be cut from the offcuts, and which candidate it is."""

    key: str
    extra: Extra


@dataclass(frozen=True)
class Looked:
    """What was found, and what came of every recipe that was tried."""

    found: tuple[Possible, ...]
    tried: tuple[Tried, ...]


@dataclass(frozen=True)
class Leftover:
    """What a cloth leaves, and everything that what fits in it depends on."""

    offcuts: tuple[Offcut, ...]
    cloth: Cloth
    bodies: tuple[Body, ...]
    candidates: tuple[Candidate, ...]

    @property
    def key(self) -> str:
        """SHA-256, in hex, of all that the answer depends on."""
        shown = (
            [repr(one) for one in self.offcuts],
            self.cloth.one_way,
            [body.model_dump_json() for body in self.bodies],
            [(one.key, one.recipe.model_dump_json()) for one in self.candidates],
        )
        return hashlib.sha256(json.dumps(shown).encode()).hexdigest()


def cloth_there_mm(plan: LayPlan) -> float:
    """Length of what is bought once it is washed and its ends are squared; 0 if there is no lay.

    The lesser of the metres and the yards bought, so that it is there in either.
    """
    if plan.purchase is None or plan.lay is None:
        return 0.0
    texts = (plan.purchase.metres, plan.purchase.yards)
    bought = min(parse_length(text, None).mm for text in texts)
    return bought * (1 - plan.lay.cloth.shrink_length) - plan.squaring_mm


def offcuts_of(plan: LayPlan) -> tuple[Offcut, ...]:
    """The offcuts of the cloth bought for a lay; none when it cannot be laid."""
    lay = plan.lay
    if lay is None:
        return ()
    there = cloth_there_mm(plan)
    key = (plan.key, lay.placements, there)
    return _found.get(key, lambda: offcuts(lay, there))


def not_in(episode: Episode, offered: Iterable[Candidate]) -> tuple[Candidate, ...]:
    """Those that are no garment of the episode yet, by their names."""
    there = {name_key(garment.name) for garment in episode.garments}
    return tuple(one for one in offered if name_key(one.recipe.name) not in there)


def look(report: Callable[[str], None], leftover: Leftover) -> Looked:
    """What can be cut from the offcuts, telling which recipe is being tried. Runs in a job."""
    found: list[Possible] = []
    told: list[Tried] = []
    there, bodies, cloth = leftover.offcuts, leftover.bodies, leftover.cloth
    count = len(leftover.candidates)
    for number, one in enumerate(leftover.candidates, start=1):
        report(f"Trying {one.recipe.name}, {number} of {count}")
        extras = extras_that_fit(there, (one.recipe,), bodies, cloth)
        found += [Possible(one.key, extra) for extra in extras]
        told.append(tried(one.key, one.recipe, there, bodies, cloth, fits=bool(extras)))
    return Looked(tuple(found), tuple(told))


def with_extra(episode: Episode, recipe: Recipe, cloth: str) -> Episode:
    """The episode with the recipe as one more garment, its main pieces cut from that cloth."""
    main = recipe.pieces[0].cloth if recipe.pieces else cloth
    pieces = tuple(
        changed(piece, cloth=cloth) if piece.cloth == main else piece for piece in recipe.pieces
    )
    return with_garment_added(episode, changed(recipe, pieces=pieces))


def lay_with_extra(
    before: LayPlan, fit: Fit, recipe: Recipe, after: LayPlan, garment: Recipe
) -> Lay | None:
    """The lay as it was, with the extra's pieces in the offcuts where they were found to fit.

    `recipe` is what was tried and `garment` what it became in the episode, its pieces by other
    names maybe. None on cloth in two layers, where a placement cuts both, and when it does not
    hold, as when more of the garment is cut from this cloth.
    """
    if before.lay is None or after.as_cut is None or after.as_cut.layers > 1:
        return None
    pairs = zip(recipe.pieces, garment.pieces, strict=True)
    names = {old.name: (new.name, new.pair) for old, new in pairs}
    there = offcuts_of(before)
    times: Counter[tuple[str, bool]] = Counter()
    placements = list(before.lay.placements)
    for cut in fit.cuts:
        corner = there[cut.offcut - 1]
        for place in cut.lay.placements:
            name, pair = names[place.name.removesuffix(", mirrored")]
            flipped = place.name.endswith(", mirrored")
            number = times[name, flipped]
            times[name, flipped] += 1
            placements.append(
                Placement(
                    name,
                    2 * number + flipped if pair else number,
                    place.turn_degrees,
                    flipped,
                    place.x_mm + corner.x_mm,
                    place.y_mm + corner.y_mm,
                )
            )
    try:
        return lay_from(after.pieces, after.as_cut, placements)
    except LayError:
        return None


def in_runs(fits: Sequence[Fit], order: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """The sizes that fit and take the same offcuts, in runs that follow each other in `order`."""
    by_size = {fit.size: fit for fit in fits}
    runs: list[list[str]] = []
    last: Fit | None = None
    for size in order:
        fit = by_size.get(size)
        if fit and last and fit.offcuts == last.offcuts:
            runs[-1].append(size)
        elif fit:
            runs.append([size])
        last = fit
    return tuple(map(tuple, runs))
