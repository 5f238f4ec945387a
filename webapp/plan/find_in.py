"""What can be found in an episode: its things by name, its figures by value, its texts."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from webapp.draft.measures import MEASURES
from webapp.draft.names import name_key
from webapp.plan.results import Place, Plan
from webapp.plan.typed_edits import quotable

_TEXT_KINDS: Final = {
    "narration": "Narration",
    "card": "Card",
    "words": "Step, in words",
    "spare": "Step, if it goes wrong",
    "promise": "Brief",
    "summary": "Garment",
    "note": "Note of a piece",
    "description": "Cloth, what it is",
    "effect": "Cloth, what changes",
    "amount": "Notion, how much",
    "why": "Notion, why",
}
SAID_KINDS: Final = frozenset({"Narration", "Card"})


@dataclass(frozen=True, slots=True)
class Candidate:
    """Something that can be found: its kind, its name, what it tells, and where it is."""

    kind: str
    name: str
    passage: str
    place: Place
    is_figure: bool = False  # then what it tells is its figure, as good as its name


def candidates(plan: Plan) -> Iterator[Candidate]:
    """Everything of the episode that can be found, in the order of its pages."""
    yield from _bodies(plan)
    yield from _in_draft(plan)
    yield from _figures(plan)
    yield from _cloths_and_notions(plan)
    yield from _steps_and_shots(plan)
    yield from _places_and_looks(plan)
    yield from _fittings(plan)
    yield from _texts(plan)


def examples(plan: Plan) -> tuple[tuple[str, str], ...]:
    """What there is to find: of each kind of thing the name of one."""
    found: dict[str, str] = {}
    for one in candidates(plan):
        if one.kind not in _TEXT_KINDS.values():
            found.setdefault(one.kind, one.name)
    return tuple(found.items())


def _bodies(plan: Plan) -> Iterator[Candidate]:
    episode = plan.episode
    yield Candidate("Body", episode.body.name, "on camera", Place("brief", item="body-title"))
    for body in episode.sizes:
        told = ", ".join(f"{name} {typed}" for name, typed in body.measures.items())
        yield Candidate("Size", body.name, told, Place("sizes", item=body.name))


def _in_draft(plan: Plan) -> Iterator[Candidate]:
    for draft in plan.drafts:
        recipe = draft.recipe
        yield Candidate("Garment", recipe.name, "", Place("draft", recipe.id, item="about"))
        for piece in recipe.pieces:
            yield Candidate(
                "Piece",
                piece.name,
                f"cut from {piece.cloth}",
                Place("draft", recipe.id, piece.name),
            )
        for seam in recipe.seams:
            sides = ", ".join(use.edge for use in (*seam.one, *seam.other))
            place = Place("draft", recipe.id, item=seam.name, part="seam")
            yield Candidate("Seam", seam.name, sides, place)


def _figures(plan: Plan) -> Iterator[Candidate]:
    edges = {
        name_key(f"{piece.name}.{edge.name}") for piece in plan.pieces for edge in piece.outline
    }
    for one in quotable(plan):
        kind = "Edge" if name_key(one.name) in edges else "Figure"
        place = _place_of_figure(plan, one.name)
        yield Candidate(kind, one.name, one.shown, place, is_figure=True)


def _place_of_figure(plan: Plan, name: str) -> Place:
    key = name_key(name)
    if key in MEASURES:
        return Place("brief", item=key, part="measure")
    before, dot, _ = name.rpartition(".")
    for draft in plan.drafts:
        for piece in draft.recipe.pieces:
            if dot and name_key(piece.name) == name_key(before):
                return Place("draft", draft.recipe.id, piece.name)
        for choice in draft.recipe.choices:
            if name_key(choice.name) == key:
                return Place("draft", draft.recipe.id, item=choice.name, part="choice")
        for finished in draft.recipe.finished:
            if name_key(finished.name) == key:
                return Place("draft", draft.recipe.id, item=finished.name, part="finished")
    return Place("draft")


def _cloths_and_notions(plan: Plan) -> Iterator[Candidate]:
    for cloth in plan.episode.cloths:
        yield Candidate("Cloth", cloth.name, cloth.width + " wide", Place("cloth", item=cloth.name))
    for other in plan.episode.other_cloths:
        place = Place("other-cloths", item=other.name)
        yield Candidate("Other cloth", other.name, f"in place of {other.instead_of}", place)
    for row in plan.notions:
        place = Place("shopping", item=row.notion.name)
        yield Candidate("Notion", row.notion.name, row.amount.plain, place)


def _steps_and_shots(plan: Plan) -> Iterator[Candidate]:
    for step in plan.steps:
        name = f"Step {step.number}, {step.step.name}"
        yield Candidate("Step", name, step.garment, Place("build", item=step.step.id))
    for row in plan.shots:
        shot = row.shot
        told = ". ".join(one for one in (shot.place, shot.chapter, shot.note) if one)
        name = f"Shot {row.number}, {shot.title}"
        yield Candidate("Shot", name, told, Place("shots", item=shot.id))


def _places_and_looks(plan: Plan) -> Iterator[Candidate]:
    shots: dict[str, list[str]] = {}
    for row in plan.shots:
        shots.setdefault(row.shot.place, []).append(str(row.number))
    for place, numbers in shots.items():
        told = f"shot{'s' if len(numbers) > 1 else ''} {', '.join(numbers)}"
        yield Candidate("Camera place", place, told, Place("set-ups", item="camera-places"))
    for look in plan.episode.looks:
        told = " ".join(f"{look.press} {look.at_hand}".split())
        yield Candidate("Look", look.name, told, Place("set-ups", item=look.id))


def _fittings(plan: Plan) -> Iterator[Candidate]:
    for fitting in plan.episode.fittings:
        told = " ".join(f"{fitting.found} {fitting.reason}".split())
        yield Candidate("Fitting", fitting.title, told, Place("fittings", item=fitting.id))


def _texts(plan: Plan) -> Iterator[Candidate]:
    for text in plan.texts:
        told = " ".join(text.live.plain.split())
        if told:
            kind = _TEXT_KINDS[text.key[-1]]
            yield Candidate(kind, text.where.rstrip(","), told, text.place)
    for where, field in (("members’ extra", "members_extra"), ("notes to yourself", "notes")):
        told = " ".join(getattr(plan.episode.brief, field).split())
        if told:
            yield Candidate("Brief", f"The brief, {where}", told, Place("brief", item=field))
