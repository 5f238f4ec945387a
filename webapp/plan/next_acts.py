"""What to do next, worked out from the plan alone: what is lacking, loose, to be filmed, outdated.

Pure: `today` is passed in by whoever knows it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

from webapp.draft.names import listed, plural
from webapp.filming.shoot_days import told_day
from webapp.plan.copying import is_called_a_copy
from webapp.plan.days import on_no_day
from webapp.plan.editions import changes_since_last, last_edition
from webapp.plan.misleading import misleading_threads
from webapp.plan.missing import missing
from webapp.plan.publishing import Outlook, outlook
from webapp.plan.results import LooseThread, Place, Plan, Severity
from webapp.plan.shopping import not_bought
from webapp.plan.step_threads import shots_without_length

_FEW_NAMES: Final = 4


@dataclass(frozen=True, slots=True)
class NextAct:
    """Something to do: in a few words, what it is good for, where, and what a button to it says."""

    words: str
    why: str
    place: Place
    button: str


_Finds = Iterator[NextAct]


def next_acts(plan: Plan, today: date) -> tuple[NextAct, ...]:
    """What to do, the first first. Empty when nothing is left to do."""
    found = outlook(plan, today)
    acts = [act for rule in _RULES for act in rule(plan, found)]
    begun = [act for act in acts if act.place.page == "draft"]
    if begun and not plan.pieces and not plan.shots:  # all else waits for the first piece
        return tuple(begun)
    return tuple(acts)


def _garment(plan: Plan, _: Outlook) -> _Finds:
    if not plan.episode.garments:
        yield NextAct(
            "Choose what is to be made",
            "Copy a starter with its pieces, steps and shots, or draw your own from rectangles.",
            Place("draft"),
            "Begin the draft",
        )


def _copy(plan: Plan, _: Outlook) -> _Finds:
    if is_called_a_copy(plan.episode.title):
        yield NextAct(
            "Give the copy its own title, and measure whom it is for",
            f"It still has the body “{plan.episode.body.name}” of the episode it was made from."
            if plan.episode.body.name
            else "It still has the body of the episode it was made from.",
            Place("brief", item="title"),
            "Open the brief",
        )


def _measures(plan: Plan, _: Outlook) -> _Finds:
    asked = [one for one in plan.loose_threads if one.place.part == "measure"]
    names = list(dict.fromkeys(one.place.item for one in asked))
    if names:
        called = listed(names) if len(names) <= _FEW_NAMES else f"{len(names)} measures"
        yield NextAct(
            f"Measure the body: {called}",
            "The pieces are drawn from what the tape says, and everything else follows from them.",
            asked[0].place,
            "Type the measures" if len(names) > 1 else "Type the measure",
        )


def _shapes(plan: Plan, _: Outlook) -> _Finds:
    for draft in plan.drafts:
        if not draft.recipe.pieces:
            yield NextAct(
                f"Name the first piece of {draft.recipe.name}",
                "Each piece begins as a rectangle, a band or another shape, and moves change it.",
                Place("draft", garment=draft.recipe.id),
                "Add a piece",
            )
        for problem in draft.problems:
            if problem.about == "blank":
                yield NextAct(
                    f"Draw {problem.piece}",
                    "It has no shape yet.",
                    Place("draft", garment=draft.recipe.id, piece=problem.piece),
                    f"Draw {problem.piece}",
                )


def _grave(plan: Plan, _: Outlook) -> _Finds:
    yield from _loose(plan, "must", "Mend")


def _light(plan: Plan, _: Outlook) -> _Finds:
    yield from _loose(plan, "should", "Look at")


def _loose(plan: Plan, severity: Severity, verb: str) -> _Finds:
    """The loose threads of that weight as one act, but for those that another act tells."""
    told = set(shots_without_length(plan)) if _wordless(plan) else set()
    threads = [
        one
        for one in plan.loose_threads
        if one.severity == severity
        and one.place.part != "measure"
        and one not in told
        and not _is_of_edition(one)
    ]
    if threads:
        count, sentence = len(threads), threads[0].sentence
        yield NextAct(
            f"{verb} {plural(count, 'loose thread')}",
            f"The first: {sentence}" if count > 1 else sentence,
            threads[0].place,
            f"{verb} the first" if count > 1 else f"{verb} it",
        )


def _is_of_edition(thread: LooseThread) -> bool:
    return thread.place.page == "companion"


def _steps(plan: Plan, _: Outlook) -> _Finds:
    if plan.pieces and not plan.steps:
        yield NextAct(
            "Write the first step",
            "Steps give the build its order and its time, and each shot shows one of them.",
            Place("build", part="new step"),
            "Write a step",
        )


def _shots(plan: Plan, _: Outlook) -> _Finds:
    if plan.steps and not plan.shots:
        yield NextAct(
            "List the first shot",
            "A shot is one thing to film: a step, a word to viewers, the finished garment.",
            Place("shots", part="new shot"),
            "Add a shot",
        )


def _words(plan: Plan, _: Outlook) -> _Finds:
    wordless = _wordless(plan)
    if wordless:
        yield NextAct(
            f"Write what is said in {plural(len(wordless), 'shot')}",
            "Without words the running time is a guess.",
            Place("shots", item=wordless[0]),
            "Write the words",
        )


def _wordless(plan: Plan) -> list[str]:
    """The ids of the shots that the loose thread `shots_without_length` counts, still to film."""
    return [
        one.shot.id
        for one in plan.shots
        if one.shot.kind in ("step", "talking")
        and not one.shot.narration.strip()
        and one.shot.screen_seconds is None
        and one.shot.filmed is None
    ]


def _date(plan: Plan, found: Outlook) -> _Finds:
    is_missing = any(one.place.page == "running-time" for one in missing(plan))
    if is_missing and plan.shots and not found.is_done:
        yield NextAct(
            "Set the publish date",
            "The days to it are counted, and you see whether you make it.",
            Place("running-time", item="publish"),
            "Set the date",
        )


def _date_past(plan: Plan, found: Outlook) -> _Finds:
    publish = plan.episode.brief.publish_date
    if found.is_past and not found.is_done and publish is not None:
        yield NextAct(
            "Set a new publish date",
            f"{told_day(publish)} is past, and something is left to do.",
            Place("running-time", item="publish"),
            "Set the date",
        )


def _days(plan: Plan, _: Outlook) -> _Finds:
    left = on_no_day(plan)
    if not left:
        return
    days = bool(plan.episode.shoot_days)
    count = plural(len(left), "shot")
    yield NextAct(
        f"Put {count} on a shoot day" if days else "Plan the shoot days",
        f"{'They are' if len(left) > 1 else 'It is'} on no day yet."
        if days
        else f"Name the days you have, and {count} {'are' if len(left) > 1 else 'is'} put on them.",
        Place("days"),
        "Plan the days",
    )


def _gone_by(_: Plan, found: Outlook) -> _Finds:
    for day in found.filming.past[:1]:
        yield NextAct(
            f"Say what was filmed on {told_day(day)}",
            "That day is past, and shots of it are not marked as filmed.",
            Place("days", item=day.isoformat()),
            "Mark what was filmed",
        )


def _buy(plan: Plan, found: Outlook) -> _Finds:
    lines = not_bought(plan) if found.filming.days else ()
    if lines:
        names = [line.what for line in lines[:_FEW_NAMES]]
        more = f" and {len(lines) - len(names)} more" if len(lines) > len(names) else ""
        told = ", ".join(names) + more if more else listed(names)
        yield NextAct(
            f"Buy {plural(len(lines), 'thing')} on the list",
            f"Not ticked yet: {told}.",
            Place("shopping"),
            "Open the list",
        )


def _film(_: Plan, found: Outlook) -> _Finds:
    for day in found.filming.days[:1]:
        more = len(found.filming.days) - 1
        yield NextAct(
            f"Film on {told_day(day.day)}" + (", today" if day.day == found.today else ""),
            f"{plural(day.shots, 'shot')} to film that day"
            + (f", and {plural(more, 'day')} after it." if more else "."),
            Place("days", item=day.day.isoformat()),
            "See the day",
        )


def _after(plan: Plan, found: Outlook) -> _Finds:
    if not plan.shots or found.filming.days or found.filming.unplanned or found.filming.past:
        return
    for work, words, button in (
        (found.voice_over, "Record the voice-over", "Say that it is recorded"),
        (found.editing, "Edit the video", "Say that it is edited"),
    ):
        if work.left.high:
            yield NextAct(words, "All is filmed.", Place("running-time", item="publish"), button)


def _outdated(plan: Plan, _: Outlook) -> _Finds:
    last = last_edition(plan.episode)
    if last and plan.pieces and changes_since_last(plan):
        yield NextAct(
            f"Number edition {last.number + 1} of the companion",
            f"Figures have changed since edition {last.number}, which viewers have.",
            Place("companion", item="edition"),
            "See what changed",
        )


def _first_edition(plan: Plan, _: Outlook) -> _Finds:
    if plan.pieces and not plan.episode.editions and not misleading_threads(plan):
        yield NextAct(
            "Number the first edition of the companion",
            "It is the sheet your viewers print. Look it through, then number it.",
            Place("companion"),
            "Look at the companion",
        )


_RULES: Final[tuple[Callable[[Plan, Outlook], _Finds], ...]] = (
    _garment,
    _copy,
    _measures,
    _shapes,
    _grave,
    _outdated,
    _gone_by,
    _steps,
    _shots,
    _words,
    _date,
    _date_past,
    _days,
    _light,
    _buy,
    _film,
    _after,
    _first_edition,
)
