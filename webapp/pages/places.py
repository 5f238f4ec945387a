"""Where a place of the plan is found: its address, and the words of a link to it."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Final
from urllib.parse import quote, urlencode

from webapp.draft.measures import MEASURES
from webapp.filming.shoot_days import told_day
from webapp.plan.results import PageName, Place, Plan

PAGES: Final[Mapping[PageName, str]] = {
    "brief": "Brief",
    "draft": "Draft",
    "fittings": "Fittings",
    "sizes": "Sizes",
    "cloth": "Cloth",
    "other-cloths": "Other cloths",
    "shopping": "Shopping",
    "build": "Build order",
    "shots": "Shots",
    "set-ups": "Places and looks",
    "days": "Shoot days",
    "running-time": "Running time",
    "times": "Times",
    "companion": "Companion",
}
_FIELDS: Final = {
    "promise": "what viewers will have made",
    "publish_date": "the publish date",
    "edit_hours_a_day": "the hours of editing",
    "target_seconds": "the target running time",
    "members_extra": "the members’ extra",
    "notes": "your notes",
    "sketch": "the sketch",
}


def address(plan: Plan, place: Place) -> tuple[str, str]:
    """The address of the place, down to the thing itself, and the words of a link to it."""
    page = "ways" if place.part == "ways" else place.page
    base = f"/episodes/{plan.episode.id}/{page}"
    query, fragment, words = _WITHIN.get(place.page, _on_the_page)(plan, place)
    asked = f"?{urlencode(query)}" if query else ""
    act = "Begin" if place.part in ("new step", "new shot") else "Open"
    return f"{base}{asked}" + (f"#{quote(fragment)}" if fragment else ""), f"{act} {words}"


_Found = tuple[Mapping[str, str], str, str]  # what the address asks for, the element's id, words


def _on_the_page(_: Plan, place: Place) -> _Found:
    return {}, place.item, PAGES[place.page].lower()


def _on_brief(_: Plan, place: Place) -> _Found:
    if place.part == "measure" and place.item in MEASURES:
        return {}, f"body-{place.item.replace(' ', '-')}", f"the measure “{place.item}”"
    if place.part == "measure":
        return {}, "body-title", "the measures"
    return {}, place.item or "about", _FIELDS.get(place.item, "the brief")


def _on_draft(plan: Plan, place: Place) -> _Found:
    garment = {"garment": place.garment}
    recipe = next((one for one in plan.episode.garments if one.id == place.garment), None)
    if recipe is None:
        return {}, "", "the draft"
    if place.piece:
        return {**garment, "piece": place.piece}, *_of_piece(place)
    if place.item == "about":
        return garment, "about-summary", f"what {recipe.name} is"
    if place.part == "choice":
        return garment, f"choice-{place.item.replace(' ', '-')}", f"the choice “{place.item}”"
    lists = {
        "seam": ("seams", [row.name for row in recipe.seams], "seams", "the seam"),
        "check": ("checks", [row.name for row in recipe.checks], "on-body", "the check"),
        "finished": (
            "finished",
            [row.name for row in recipe.finished],
            "on-body",
            "the finished measure",
        ),
    }
    if place.part not in lists:
        return garment, "", "the draft"
    part, names, card, called = lists[place.part]
    at = _index(names, place.item)
    fragment, words = _row(part, at, card, card, f"{called} “{place.item}”")
    if part == "seams" and _is_apart(plan, place):
        fragment = fragment.replace("-form", "-apart")
    return garment, fragment, words


def _is_apart(plan: Plan, place: Place) -> bool:
    """Whether the seam's sides differ: the page tells that at its top, with what mends it."""
    return any(
        seam.name == place.item and not seam.agrees
        for draft in plan.drafts
        if draft.recipe.id == place.garment
        for seam in draft.seams
    )


def _of_piece(place: Place) -> tuple[str, str]:
    if place.item == "note":
        return "note", f"the note of {place.piece}"
    if place.part == "cut":
        return "piece-form", f"how {place.piece} is cut"
    if place.move is not None:
        return f"move-{place.move}", f"{place.piece}, move {place.move + 1}"
    return "moves", place.piece


def _row(part: str, at: int | None, card: str, all_words: str, words: str) -> tuple[str, str]:
    return (card, all_words) if at is None else (f"{part}-{at}-form", words)


def _on_sizes(plan: Plan, place: Place) -> _Found:
    at = _index([body.name for body in plan.episode.sizes], place.item)
    return {}, *_row("size", at, "episode-sizes", "the sizes", f"size {place.item}")


def _on_cloth(plan: Plan, place: Place) -> _Found:
    at = _index([cloth.name for cloth in plan.episode.cloths], place.item)
    if at is not None and place.part == "ways":
        return {}, f"ways-{at}", f"the ways of laying {place.item}"
    if at is not None and place.part == "lay":
        return {}, f"cloth-{at}", f"the lay of {place.item}"
    return {}, *_row("cloth", at, "new-cloth", "the cloth", place.item)


def _on_other_cloths(plan: Plan, place: Place) -> _Found:
    at = _index([cloth.name for cloth in plan.episode.other_cloths], place.item)
    return {}, *_row("other", at, "new-cloth", "the other cloths", place.item)


def _on_shopping(plan: Plan, place: Place) -> _Found:
    at = _index([notion.name for notion in plan.episode.notions], place.item)
    return {}, *_row("notion", at, "notions", "what to have at hand", place.item)


def _on_build(plan: Plan, place: Place) -> _Found:
    for row in plan.steps:
        if row.step.id == place.item:
            return {"edit": place.item}, f"step-{place.item}", f"step {row.number}"
    return {}, "new-step" if place.part else "", "a new step" if place.part else "the steps"


def _on_shots(plan: Plan, place: Place) -> _Found:
    if place.part == "new shot":
        return {"step": place.item}, "new-shot", "a new shot"
    for row in plan.shots:
        if row.shot.id == place.item:
            return {"edit": place.item}, f"shot-{place.item}", f"shot {row.number}"
    return {}, "", "the shots"


def _on_set_ups(plan: Plan, place: Place) -> _Found:
    for look in plan.episode.looks:
        if look.id == place.item:
            return {"edit": look.id}, f"look-{look.id}", f"the look “{look.name}”"
    if place.item == "camera-places":
        return {}, place.item, "the camera places"
    return {}, "looks", "the looks"


def _on_days(plan: Plan, place: Place) -> _Found:
    if not place.item:
        # A browser opens what is folded around the element, not the folded element itself.
        part = "planning" if plan.episode.shoot_days else "new-day-form"
        return {}, part, "the shoot days"
    return {}, f"day-{place.item}", told_day(date.fromisoformat(place.item))


def _on_running_time(plan: Plan, place: Place) -> _Found:
    parts = {"publish": "the publish date", "chapters": "the chapters"}
    if place.item in parts:
        return {}, place.item, parts[place.item]
    for row in plan.shots:
        if row.shot.id == place.item:
            return {}, f"screen-{place.item}", f"how long shot {row.number} is seen"
    return {}, "how-long", "the running time"


def _on_fittings(plan: Plan, place: Place) -> _Found:
    for fitting in plan.episode.fittings:
        if fitting.id == place.item:
            return {"edit": fitting.id}, f"fitting-{fitting.id}", f"“{fitting.title}”"
    return {}, "", "the fittings"


def _index(names: Sequence[str], name: str) -> int | None:
    return names.index(name) if name in names else None


_WITHIN: Final[Mapping[PageName, Callable[[Plan, Place], _Found]]] = {
    "brief": _on_brief,
    "draft": _on_draft,
    "sizes": _on_sizes,
    "cloth": _on_cloth,
    "other-cloths": _on_other_cloths,
    "shopping": _on_shopping,
    "build": _on_build,
    "shots": _on_shots,
    "set-ups": _on_set_ups,
    "days": _on_days,
    "running-time": _on_running_time,
    "fittings": _on_fittings,
}
