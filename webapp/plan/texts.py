"""Every text of an episode that may hold live figures: where it is, what it says.

A text's key is what it belongs to, that thing's id or name, and the field: ("shot", "cut-front",
"narration"). The loose threads read the texts here, and what mends them writes them here.
"""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final

from webapp.draft.construction import Step
from webapp.draft.recipe import Recipe
from webapp.draft.results import Draft
from webapp.errors import NotThereError
from webapp.filming.figures import LiveText, render
from webapp.plan.edits import changed, changed_one, with_garment, with_piece, with_step
from webapp.plan.episode import Episode
from webapp.plan.figures import lengths_of
from webapp.plan.other_cloths import other_cloth_plans
from webapp.plan.results import Place, Plan, ShotPlan
from webapp.remembered import Remembered, Same
from webapp.units import System

TextKey = tuple[str, ...]
_GONE: Final = "That text is not there any more."


@dataclass(frozen=True)
class EpisodeText:
    """A text as typed and as read; `figures_mm` is what it may quote.

    Those are figures of `drafts`; where it belongs to a garment, that one stands first and `own`
    is its id.
    """

    key: TextKey
    where: str  # as a sentence begins: Shot 3, narration,
    place: Place
    typed: str
    live: LiveText
    figures_mm: Mapping[str, float]
    drafts: tuple[Draft, ...]
    own: str = ""


_apart: Final[Remembered[Hashable, tuple[EpisodeText, ...]]] = Remembered(30)


def texts_of(plan: Plan) -> Iterator[EpisodeText]:
    """Every text, in the order of the pages; empty ones too. Those of no shot are remembered, and
    those of each shot."""
    yield from _apart.get(plan.but_shots, lambda: tuple(_but_of_shots(plan)))
    read = _Reading(plan)
    of_steps = _garments_of_steps(plan)
    for shown in plan.shots:
        own = of_steps.get(shown.shot.step, "")
        yield from _of_shot(Same((shown,)), read.around(own), own, plan.episode.first_unit)


def _but_of_shots(plan: Plan) -> Iterator[EpisodeText]:
    episode = plan.episode
    read = _Reading(plan)
    what = "“What viewers will have made by the end”"
    yield read(
        ("brief", "", "promise"), what, Place("brief", item="promise"), episode.brief.promise
    )
    for draft in plan.drafts:
        recipe, own = draft.recipe, draft.recipe.id
        place = Place("draft", recipe.id, item="about")
        yield read(
            ("garment", recipe.id, "summary"),
            f"{recipe.name}, what it is,",
            place,
            recipe.summary,
            own,
        )
        for piece in recipe.pieces:
            place = Place("draft", recipe.id, piece.name, item="note")
            yield read(
                ("piece", piece.name, "note"), f"{piece.name}, the note,", place, piece.note, own
            )
    for cloth in episode.cloths:
        key, place = ("cloth", cloth.name, "description"), Place("cloth", item=cloth.name)
        yield read(key, f"{cloth.name}, what it is,", place, cloth.description)
    for on_cloth in other_cloth_plans(plan):
        other = on_cloth.other
        place = Place("other-cloths", item=other.name)
        for field, words in (("description", "what it is"), ("effect", "what changes")):
            text = getattr(other, field)
            key, where = ("other cloth", other.name, field), f"{other.name}, {words},"
            yield read(key, where, place, text, drafts=on_cloth.drafts)
    for notion in episode.notions:
        for field, words in (("amount", "how much"), ("why", "why")):
            key, place = ("notion", notion.name, field), Place("shopping", item=notion.name)
            yield read(key, f"{notion.name}, {words},", place, getattr(notion, field))
    of_steps = _garments_of_steps(plan)
    for row in plan.steps:
        step, place = row.step, Place("build", item=row.step.id)
        own, where = of_steps[step.id], f"Step {row.number}, {step.name},"
        yield read(("step", step.id, "words"), where, place, step.words, own)
        where = f"Step {row.number}, {step.name}, if it goes wrong,"
        yield read(("step", step.id, "spare"), where, place, step.spare, own)


def _garments_of_steps(plan: Plan) -> Mapping[str, str]:
    return {step.id: one.id for one in plan.episode.garments for step in one.steps}


@lru_cache(maxsize=2000)
def _of_shot(of: Same, around: Same, own: str, first: System) -> tuple[EpisodeText, ...]:
    shown: ShotPlan
    (shown,) = of.values
    known, quoted = around.values
    shot, place = shown.shot, Place("shots", item=shown.shot.id)
    return tuple(
        EpisodeText(
            ("shot", shot.id, field),
            f"Shot {shown.number}, {field},",
            place,
            typed := getattr(shot, field),
            _live(typed, Same((known,)), first),
            known,
            quoted,
            own,
        )
        for field in ("narration", "card")
    )


@lru_cache(maxsize=4000)  # an edit of one text leaves the others as they are
def _live(typed: str, of: Same, first: System) -> LiveText:
    (figures_mm,) = of.values
    return render(typed, figures_mm, first)


@dataclass(frozen=True)
class _Reading:
    plan: Plan

    def __call__(
        self,
        key: TextKey,
        where: str,
        place: Place,
        typed: str,
        own: str = "",
        *,
        drafts: Sequence[Draft] | None = None,
    ) -> EpisodeText:
        if drafts is not None:
            known, quoted = lengths_of(drafts), tuple(drafts)
        else:
            known, quoted = self.quoted_by(own)
        live = _live(typed, Same((known,)), self.plan.episode.first_unit)
        return EpisodeText(key, where, place, typed, live, known, quoted, own)

    def quoted_by(self, own: str) -> tuple[Mapping[str, float], tuple[Draft, ...]]:
        """What a text of that garment, or of none, may quote, and the drafts that come of it."""
        return self._of_garments[own] if own else (self.plan.figures_mm, self.plan.drafts)

    def around(self, own: str) -> Same:
        """The same as a key."""
        if own not in self._keys:
            self._keys[own] = Same(self.quoted_by(own))
        return self._keys[own]

    @cached_property
    def _keys(self) -> dict[str, Same]:
        return {}

    @cached_property
    def _of_garments(self) -> Mapping[str, tuple[Mapping[str, float], tuple[Draft, ...]]]:
        """What a text of each garment may quote, and the drafts that come of it."""
        drafts = self.plan.drafts
        return {
            one.recipe.id: (
                self.plan.figures_for(one),
                (one, *(other for other in drafts if other is not one)),
            )
            for one in drafts
        }


def text_of(plan: Plan, key: TextKey) -> EpisodeText:
    """The text of that key. NotThereError if there is none."""
    for text in plan.texts:
        if text.key == key:
            return text
    raise NotThereError(_GONE)


def with_text(episode: Episode, key: TextKey, typed: str) -> Episode:
    """The episode with that text written anew. NotThereError if there is no such text."""
    kind, name, field = key
    change = {field: typed}
    if kind == "brief":
        return changed(episode, brief=changed(episode.brief, **change))
    if kind == "garment":
        return with_garment(episode, name, lambda one: changed(one, **change))
    if kind == "piece":
        garment = _garment_of(episode, name)
        return with_piece(episode, garment.id, name, lambda one: changed(one, **change))
    if kind == "step":

        def edit(step: Step) -> Step:
            return changed(step, **change)

        return with_step(episode, name, edit)
    lists = {
        "cloth": ("cloths", "name"),
        "other cloth": ("other_cloths", "name"),
        "notion": ("notions", "name"),
        "shot": ("shots", "id"),
    }
    if kind not in lists:
        raise NotThereError(_GONE)
    part, by = lists[kind]
    items = changed_one(getattr(episode, part), by, name, lambda one: changed(one, **change))
    return changed(episode, **{part: items})


def _garment_of(episode: Episode, piece: str) -> Recipe:
    for garment in episode.garments:
        if any(one.name == piece for one in garment.pieces):
            return garment
    raise NotThereError(_GONE)
