"""Everything an episode renders to, written into a folder. To add an export: one entry here."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Final

from webapp.cloth.drawing import draw_lay
from webapp.draft.drawing import pieces_svg
from webapp.handouts.companion import companion_pdf
from webapp.handouts.dxf import pieces_dxf
from webapp.handouts.shopping import shopping_csv, shopping_pdf
from webapp.handouts.worksheet import worksheet_pdf
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.plan.results import Plan
from webapp.plan.shopping import shopping

Export = Callable[[Plan], bytes | None]


def _companion(plan: Plan) -> bytes:
    return companion_pdf(plan)


def _worksheet(plan: Plan) -> bytes | None:
    """The blank one: whoever drafts in a size has its figures in the companion."""
    return worksheet_pdf(plan, blank=True) if plan.pieces else None


def _pieces(plan: Plan) -> bytes | None:
    return pieces_svg(plan.pieces).encode() if plan.pieces else None


def _pieces_for_cad(plan: Plan) -> bytes | None:
    return pieces_dxf(plan.pieces) if plan.pieces else None


def _lay(plan: Plan) -> bytes | None:
    """The lay of the first cloth: the garment's main one."""
    for lay in plan.lays:
        if lay.lay is not None:
            return draw_lay(
                lay.lay, plan.episode.first_unit, lay.cloth.name, ink="#222222"
            ).encode()
    return None


def _shopping_list(plan: Plan) -> bytes | None:
    return shopping_pdf(plan) if shopping(plan).lines else None


def _shopping_table(plan: Plan) -> bytes | None:
    return shopping_csv(plan) if shopping(plan).lines else None


def _plan(plan: Plan) -> bytes:
    text = json.dumps(plan_json(plan), indent=1, ensure_ascii=False, allow_nan=False)
    return (text + "\n").encode()


EXPORTS: Final[dict[str, Export]] = {
    "companion.pdf": _companion,
    "worksheet.pdf": _worksheet,
    "pieces.svg": _pieces,
    "pieces.dxf": _pieces_for_cad,
    "lay.svg": _lay,
    "shopping-list.pdf": _shopping_list,
    "shopping.csv": _shopping_table,
    "plan.json": _plan,
}


def write_pack(episode: Episode, folder: Path) -> tuple[str, ...]:
    """Write every file the episode has content for; returns their names.

    Same episode, same bytes. An export with nothing in it is absent.
    """
    plan = evaluate(episode)
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, export in EXPORTS.items():
        content = export(plan)
        if content is not None:
            (folder / name).write_bytes(content)
            written.append(name)
    return tuple(written)
