"""Garments drawn small, for the list of episodes, the starters and the front of an episode."""

from functools import lru_cache
from typing import Final

from webapp.draft import svg
from webapp.draft.evaluate import Draft, evaluate
from webapp.draft.example_body import EXAMPLE_BODY
from webapp.draft.garment_view import GarmentView, views_of
from webapp.draft.names import listed
from webapp.draft.recipe import Notion, Recipe
from webapp.draft.small_drawings import draw_garments
from webapp.handouts.drawings import INK
from webapp.plan.results import Plan
from webapp.remembered import Same

_SIDES: Final = {
    "front": "front",
    "back": "back",
    "both": "front and back alike",
    "flat": "laid flat",
}


def draw_plan(plan: Plan, *, as_image: bool = False) -> str:
    """The garments of a plan as SVG; empty while they have no piece. Remembered by the drafts.

    A garment that waits for a measure is drawn on a body nobody has. As an image it stands alone,
    so it brings its own ink.
    """
    return _drawn(Same((plan.drafts, plan.episode.notions)), as_image)


@lru_cache(maxsize=50)
def _drawn(of: Same, as_image: bool) -> str:
    drafts: tuple[Draft, ...]
    drafts, notions = of.values
    measured = [_measured(draft) for draft in drafts]
    drawn = [draft for draft in measured if draft.pieces]
    return _draw(drawn, notions, as_image=as_image)


def waits_for_measures(draft: Draft) -> bool:
    """True for a garment whose body lacks a measure that it asks for."""
    return any(problem.about == "measure" for problem in draft.problems)


def _measured(draft: Draft) -> Draft:
    return evaluate(draft.recipe, EXAMPLE_BODY) if waits_for_measures(draft) else draft


def draw_recipe(recipe: Recipe) -> str:
    """A recipe's garment on a body nobody has, as an image; empty when it cannot be drawn."""
    draft = evaluate(recipe, EXAMPLE_BODY)
    return _draw([draft] if draft.pieces else [], recipe.notions, as_image=True)


def _draw(drafts: list[Draft], notions: tuple[Notion, ...], *, as_image: bool) -> str:
    garments = [(_views(draft, notions), draft.pieces) for draft in drafts]
    words = " ".join(
        f"{draft.recipe.name}: {_told(views, draft)}."
        for draft, (views, _) in zip(drafts, garments, strict=True)
    )
    title = "As it will look, to one scale"
    if as_image:
        return draw_garments(garments, title, words, ink=INK)
    return draw_garments(garments, title, words, pen=0.5)


def _views(draft: Draft, notions: tuple[Notion, ...]) -> tuple[GarmentView, ...]:
    """Remembered with the draft, which an edit elsewhere in the episode leaves as it is."""
    known: dict[tuple[Notion, ...], tuple[GarmentView, ...]]
    known = vars(draft).setdefault("_views", {})
    if notions not in known:
        known[notions] = views_of(draft, notions)
    return known[notions]


def _told(views: tuple[GarmentView, ...], draft: Draft) -> str:
    if views:
        return listed([_SIDES[view.side] for view in views])
    return "its pieces, " + listed([piece.name for piece in draft.pieces])


def draw_nothing_yet() -> str:
    """Cloth that nothing is cut from yet, as an image."""
    root = svg.figure((0, 0, 150, 100), "Nothing is drawn yet", "A length of cloth, uncut.")
    pen: dict[str, str] = {"fill": "none", "stroke": INK, "stroke-width": "1.2"}
    svg.add(root, "rect", x=30.0, y=15.0, width=90.0, height=70.0, stroke_dasharray="5 4", **pen)
    svg.add(root, "path", d="M75 32V68M71 37L75 32L79 37M71 63L75 68L79 63", **pen)
    return svg.written(root)
