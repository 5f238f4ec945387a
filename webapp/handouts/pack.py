"""Everything an episode renders to, as files in a folder or as one zip.

To add a file: one entry in EXPORTS, in the order of the zip.
"""

import io
import json
import re
import unicodedata
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from webapp.cloth.drawing import draw_lay
from webapp.draft.drawing import pieces_svg
from webapp.draft.names import listed
from webapp.errors import RecipeError, SeamslateError
from webapp.handouts.call_sheet import call_sheet_pdf
from webapp.handouts.captions import captions_vtt, cards_vtt
from webapp.handouts.chapters_vtt import chapters_vtt
from webapp.handouts.companion import companion_pdf
from webapp.handouts.description import LONGEST, description_txt, why_no_chapters
from webapp.handouts.dxf import pieces_dxf
from webapp.handouts.manifest import MANIFEST, Made, NotMade, manifest
from webapp.handouts.pattern_sheets import pattern_pdf
from webapp.handouts.printing import PaperName
from webapp.handouts.shoot_calendar import shoot_days_ics
from webapp.handouts.shopping import shopping_csv, shopping_pdf
from webapp.handouts.shot_words import is_guessed
from webapp.handouts.shots_csv import shots_csv
from webapp.handouts.worksheet import worksheet_pdf
from webapp.plan.editions import edition_state
from webapp.plan.edits import as_printed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.lays import LayPlan
from webapp.plan.misleading import misleading_threads
from webapp.plan.plan_json import plan_json
from webapp.plan.results import Plan
from webapp.plan.screen_time import Video, extra, video
from webapp.plan.shopping import shopping

Report = Callable[[str], object]  # told which file is being made
_THEN: Final = (1980, 1, 1, 0, 0, 0)  # the first time that a zip knows: it has no clock


@dataclass(frozen=True)
class Plans:
    """The episode as it is filmed, and as its sheets for viewers are printed."""

    filmed: Plan
    printed: Plan

    @classmethod
    def of(cls, episode: Episode) -> "Plans":
        """Both plans; one and the same when nothing else was chosen for the sheets."""
        filmed, printed = evaluate(episode), as_printed(episode)
        return cls(filmed, filmed if printed is episode else evaluate(printed))


@dataclass(frozen=True)
class Export:
    """A file: what it is called while it is made, what it is, how it is made.

    There is no such file when it has nothing in it: `make` gives None then.
    """

    called: str
    what: str
    make: Callable[[Plans], bytes | None]

    def __call__(self, plan: Plan) -> bytes | None:
        """Its content for a plan that is printed as it is filmed."""
        return self.make(Plans(plan, plan))


@dataclass(frozen=True)
class Pack:
    """The files of an episode, and what could not be made of them; the manifest comes last."""

    files: tuple[Made, ...]
    not_made: tuple[NotMade, ...]
    notes: tuple[str, ...]  # what should be known of the files that were made

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the files."""
        return tuple(file.name for file in self.files)

    @property
    def why_not(self) -> dict[str, list[str]]:
        """The names of the files that could not be made, by the reason."""
        found: dict[str, list[str]] = {}
        for one in self.not_made:
            found.setdefault(one.why, []).append(one.name)
        return found


# --- The files -------------------------------------------------------------------------------


def _companion(plans: Plans) -> bytes:
    plan = plans.printed
    return companion_pdf(plan, _paper(plan), edition_state(plans.filmed))


def _pattern(paper: Literal["a4", "letter", "sheet"]) -> Callable[[Plans], bytes | None]:
    def make(plans: Plans) -> bytes | None:
        plan, choices = plans.printed, plans.printed.episode.print_choices
        try:
            if paper == "sheet":
                choices.roll_width_mm(plan.episode.first_unit)
        except ValueError as error:  # as in a file edited by hand
            raise RecipeError(f"The large sheet’s width: {error}") from error
        return pattern_pdf(plan, paper, edition_state(plans.filmed))

    return make


def _worksheet(plans: Plans) -> bytes | None:
    """The blank one: whoever drafts in a size has its figures in the companion."""
    plan = plans.printed
    return worksheet_pdf(plan, blank=True, paper=_paper(plan)) if plan.pieces else None


def _pieces(plans: Plans) -> bytes | None:
    plan = plans.printed
    return pieces_svg(plan.pieces, _draft_note(plan)).encode() if plan.pieces else None


def _pieces_for_cad(plans: Plans) -> bytes | None:
    plan = plans.printed
    return pieces_dxf(plan.pieces, _draft_note(plan)) if plan.pieces else None


def _draft_note(plan: Plan) -> str:
    """What stands in a file to cut by while the plan would mislead; else empty."""
    return "Draft: do not cut by it yet" if misleading_threads(plan) else ""


def _shopping_list(plans: Plans) -> bytes | None:
    plan = plans.filmed
    return shopping_pdf(plan, paper=_paper(plan)) if shopping(plan).lines else None


def _shopping_table(plans: Plans) -> bytes | None:
    return shopping_csv(plans.filmed) if shopping(plans.filmed).lines else None


def _of_video(make: Callable[[Plan, Video], bytes | None]) -> Callable[[Plans], bytes | None]:
    return lambda plans: make(plans.filmed, video(plans.filmed))


def _of_extra(make: Callable[[Plan, Video], bytes | None]) -> Callable[[Plans], bytes | None]:
    return lambda plans: make(plans.filmed, extra(plans.filmed))


def _plan(plans: Plans) -> bytes:
    text = json.dumps(plan_json(plans.filmed), indent=1, ensure_ascii=False, allow_nan=False)
    return (text + "\n").encode()


def _lay(number: int) -> Callable[[Plans], bytes | None]:
    """The lay on the cloth of that number, counted from 1 through those that can be laid."""

    def make(plans: Plans) -> bytes | None:
        plan = plans.printed
        laid = _laid(plan)[number - 1 : number]
        for cloth, lay in ((one.cloth.name, one.lay) for one in laid):
            if lay is not None:
                first, note = plan.episode.first_unit, _draft_note(plan)
                return draw_lay(lay, first, cloth, ink="#222222", note=note).encode()
        return None

    return make


def _laid(plan: Plan) -> tuple[LayPlan, ...]:
    return tuple(one for one in plan.lays if one.lay is not None)


def _paper(plan: Plan) -> PaperName:
    return plan.episode.print_choices.paper_for(plan.episode.first_unit)


EXPORTS: Final[dict[str, Export]] = {
    "companion.pdf": Export(
        "the companion", "The companion: what a viewer prints to make the garment.", _companion
    ),
    "pattern-a4.pdf": Export(
        "the pattern on A4", "The pattern in true size, on A4 pages to join.", _pattern("a4")
    ),
    "pattern-letter.pdf": Export(
        "the pattern on Letter",
        "The pattern in true size, on Letter pages to join.",
        _pattern("letter"),
    ),
    "pattern-sheet.pdf": Export(
        "the pattern on one large sheet",
        "The pattern in true size, on one large sheet for a print shop.",
        _pattern("sheet"),
    ),
    "worksheet.pdf": Export(
        "the worksheet", "The worksheet, to draft the garment at home by hand.", _worksheet
    ),
    "pieces.svg": Export(
        "the pieces, drawn", "Every pattern piece in true size, to look at or to cut.", _pieces
    ),
    "pieces.dxf": Export(
        "the pieces for CAD", "Every pattern piece in true size, for CAD.", _pieces_for_cad
    ),
    "lay.svg": Export("the lay", "How the pieces lie on the first cloth.", _lay(1)),
    "call-sheet.pdf": Export(
        "the call sheet",
        "Every shoot day on paper: what is filmed when, and what must be ready.",
        lambda plans: call_sheet_pdf(plans.filmed),
    ),
    "shopping-list.pdf": Export(
        "the shopping list", "What to buy for the garment on camera, to print.", _shopping_list
    ),
    "shopping.csv": Export(
        "the shopping table", "What to buy, as a table for a spreadsheet.", _shopping_table
    ),
    "shots.csv": Export(
        "the shot list",
        "Every shot with its day, what is said and shown, as a table for a spreadsheet.",
        lambda plans: shots_csv(plans.filmed),
    ),
    "shoot-days.ics": Export(
        "the calendar",
        "The shoot days, the evenings before them and the day to publish on, for a calendar.",
        lambda plans: shoot_days_ics(plans.filmed),
    ),
    "captions.vtt": Export(
        "the captions", "What is said, as captions timed by the plan.", _of_video(captions_vtt)
    ),
    "cards.vtt": Export(
        "the cards", "What is shown on cards, timed by the plan.", _of_video(cards_vtt)
    ),
    "chapters.vtt": Export("the chapters", "The chapters of the video.", _of_video(chapters_vtt)),
    "extra-captions.vtt": Export(
        "the captions of the members’ extra",
        "What is said in the members’ extra, as captions timed by the plan.",
        _of_extra(captions_vtt),
    ),
    "extra-cards.vtt": Export(
        "the cards of the members’ extra",
        "What is shown on cards in the members’ extra, timed by the plan.",
        _of_extra(cards_vtt),
    ),
    "extra-chapters.vtt": Export(
        "the chapters of the members’ extra",
        "The chapters of the members’ extra.",
        _of_extra(chapters_vtt),
    ),
    "description.txt": Export(
        "the description",
        "The video’s description: chapters, materials, sizes and cautions.",
        lambda plans: description_txt(plans.printed, plans.filmed),
    ),
    "plan.json": Export(
        "every figure", "Every computed figure of the episode, for other programs.", _plan
    ),
}


def exports_of(plans: Plans) -> Iterator[tuple[str, Export]]:
    """Every export by its file's name, and the lays on further cloths behind the first."""
    for name, export in EXPORTS.items():
        yield name, export
        if name == "lay.svg":
            yield from _further_lays(plans.printed)


def _further_lays(plan: Plan) -> Iterator[tuple[str, Export]]:
    for number, one in enumerate(_laid(plan)[1:], start=2):
        plain = unicodedata.normalize("NFKD", one.cloth.name).encode("ascii", "ignore").decode()
        called = "-".join(re.findall(r"[a-z0-9]+", plain.lower()))[:40].strip("-")
        name = f"lay-{number}-{called}.svg" if called else f"lay-{number}.svg"
        what = f"How the pieces lie on the cloth “{one.cloth.name}”."
        yield name, Export(f"lay {number}", what, _lay(number))


# --- All of them together --------------------------------------------------------------------


def pack(episode: Episode, report: Report | None = None) -> Pack:
    """Every file the episode has content for, and the manifest. Same episode, same bytes.

    A file that cannot be made here is left out and told. `report` hears of each file before it is
    made: `3 of 14: the pattern on A4`.
    """
    plans = Plans.of(episode)
    exports = tuple(exports_of(plans))
    files: list[Made] = []
    not_made: list[NotMade] = []
    for number, (name, export) in enumerate(exports, start=1):
        if report is not None:
            report(f"{number} of {len(exports)}: {export.called}")
        try:
            content = export.make(plans)
        except SeamslateError as error:
            not_made.append(NotMade(name, export.what, error.sentence))
            continue
        if content is not None:
            files.append(Made(name, export.what, content))
    notes = tuple(_notes(plans, files))
    edition = edition_state(plans.filmed)
    told = manifest(plans.printed.episode, edition, files, not_made, notes)
    files.append(Made(MANIFEST, "This list.", told))
    return Pack(tuple(files), tuple(not_made), notes)


def _notes(plans: Plans, files: Sequence[Made]) -> Iterator[str]:
    misleading = " ".join(thread.sentence for thread in misleading_threads(plans.printed))
    if misleading:
        yield f"The sheets for viewers are marked “draft edition”. {misleading}"
    why = why_no_chapters(video(plans.filmed))
    if why:
        yield f"description.txt leaves the chapters out. {why}"
    guessed = [str(row.number) for row in plans.filmed.shots if is_guessed(row)]
    if guessed:
        which = f"shot {guessed[0]} was" if len(guessed) == 1 else f"shots {listed(guessed)} were"
        yield (
            f"When {which} filmed, no words were kept: the captions have the text as it stands "
            "now. Compare it with what is said."
        )
    for file in files:
        if file.name == "description.txt" and len(file.content.decode()) > LONGEST:
            yield (
                f"description.txt has {len(file.content.decode()):,} characters; sites commonly "
                f"take {LONGEST:,}."
            )


def write_pack(episode: Episode, folder: Path, report: Report | None = None) -> Pack:
    """Write every file of the episode into the folder; see `pack`."""
    made = pack(episode, report)
    folder.mkdir(parents=True, exist_ok=True)
    for file in made.files:
        _write(folder / file.name, file.content)
    return made


def _write(path: Path, content: bytes) -> None:
    """Whole or not at all, as on a disk that is full."""
    part = path.with_name(f"{path.name}.part")
    try:
        part.write_bytes(content)
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise OSError(error.errno, error.strerror, str(path)) from error


def zipped(files: tuple[Made, ...], folder: str) -> bytes:
    """The files in their order, in a folder of that name.

    As if made at one and the same time on one and the same system.
    """
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        for file in files:
            entry = zipfile.ZipInfo(f"{folder}/{file.name}", _THEN)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3  # Unix, wherever it is made
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, file.content)
    return content.getvalue()
