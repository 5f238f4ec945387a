"""plan.json: every computed figure of an episode, for other programs and for checks."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from webapp.build.work_time import Estimate
from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.thread import ThreadUse
from webapp.cloth.yardage import Purchase
from webapp.draft.allowances import EdgeAllowance
from webapp.draft.evaluate import CheckFinding, Piece
from webapp.draft.markings import DrillHole, MarkedLine, Notch
from webapp.draft.outline import Point
from webapp.draft.sewn import along_mm
from webapp.plan.build_json import build_json
from webapp.plan.days_json import days_json
from webapp.plan.editions import EditionState, edition_state
from webapp.plan.lays import LayPlan
from webapp.plan.other_cloths import OtherClothPlan, other_cloth_plans
from webapp.plan.results import (
    CuttingTable,
    LooseThread,
    NotionPlan,
    Plan,
    ShotPlan,
    SizePlan,
    StepPlan,
)
from webapp.plan.running_time_json import running_time_json
from webapp.plan.said_json import said_json
from webapp.plan.shown import Shown
from webapp.plan.thread_and_needles import thread_of
from webapp.plan.thread_use import ThreadRow
from webapp.plan.times_json import times_json
from webapp.units import System, both_called, parse_length


def plan_json(plan: Plan) -> dict[str, Any]:
    """The plan as plain values (design §5). Lengths are mm, minutes are decimal."""
    return {
        "episode": plan.episode.id,
        "title": plan.episode.title,
        "body": plan.episode.body.name,
        "pieces": [_piece(piece) for piece in plan.pieces],
        "figures": _figures(dict(sorted(plan.figures_mm.items()))),
        "garments": [
            {
                "id": draft.recipe.id,
                "name": draft.recipe.name,
                "figures": _figures(dict(sorted(plan.figures_for(draft).items()))),
            }
            for draft in plan.drafts
        ],
        "seams": [
            {"name": s.name, "one_mm": s.one_mm, "other_mm": s.other_mm, "agrees": s.agrees}
            for draft in plan.drafts
            for s in draft.seams
        ],
        "finished": _figures(
            {name: mm for draft in plan.drafts for name, mm in draft.finished_mm.items()}
        ),
        "checks": [
            _check(draft.recipe.name, check) for draft in plan.drafts for check in draft.checks
        ],
        "edition": _edition(edition_state(plan)),
        "editions": [
            {
                "number": edition.number,
                "day": edition.day.isoformat() if edition.day else None,
                "figures": len(edition.figures),
            }
            for edition in plan.episode.editions
        ],
        "sizes": [_size(size) for size in plan.sizes],
        "cutting": [_cutting(table) for table in plan.cutting],
        "cloths": [_cloth(cloth) for cloth in plan.episode.cloths],
        "other_cloths": [_other_cloth(each) for each in other_cloth_plans(plan)],
        "lays": [_lay(lay) for lay in plan.lays],
        "steps": [_step(step) for step in plan.steps],
        "shots": [_shot(shot, plan.episode.first_unit) for shot in plan.shots],
        **days_json(plan),
        "work_minutes": _minutes(plan.work),
        "filming_minutes": _minutes(plan.filming),
        "notions": [_notion(notion) for notion in plan.notions],
        "thread": _thread(plan),
        "running_time_s": plan.running_time_s,
        "extra_running_time_s": plan.extra_running_time_s,
        **running_time_json(plan),
        **times_json(plan),
        **build_json(plan),
        "loose_threads": [_loose_thread(thread) for thread in plan.loose_threads],
    }


def _notion(plan: NotionPlan) -> dict[str, Any]:
    return {
        "name": plan.notion.name,
        "amount": plan.amount.plain,
        "worked_out": plan.buy.amount if plan.buy else "",
        "worked_out_why": list(plan.buy.why) if plan.buy else [],
        "why": plan.why.plain,
    }


def _loose_thread(thread: LooseThread) -> dict[str, Any]:
    """A loose thread with what of its place there is, and the words of what mends it at once."""
    place = {name: part for name, part in asdict(thread.place).items() if part not in ("", None)}
    return {
        "severity": thread.severity,
        "page": thread.page,
        "sentence": thread.sentence,
        "place": place,
        "mends": [mend.words for mend in thread.mends],
    }


def _figure(mm: float, name: str = "") -> dict[str, Any]:
    """A length in mm and as texts show it under this name."""
    inch, cm = both_called(name, mm, "in").removesuffix(")").split(" (")
    return {"mm": mm, "inch": inch, "cm": cm}


def _figures(lengths_mm: Mapping[str, float]) -> dict[str, Any]:
    return {name: _figure(mm, name) for name, mm in lengths_mm.items()}


def _points(points: Sequence[Point]) -> list[list[float]]:
    return [[x, y] for x, y in points]


def _minutes(estimate: Estimate) -> dict[str, float]:
    return {"low": estimate.low, "likely": estimate.likely, "high": estimate.high}


def _piece(piece: Piece) -> dict[str, Any]:
    return {
        "name": piece.name,
        "cut_count": piece.cut_count,
        "on_fold": piece.on_fold,
        "pair": piece.pair,
        "cloth": piece.cloth,
        "grain": piece.grain,
        "tilt_degrees": piece.tilt,
        "edges": [
            {"name": edge.name, "length_mm": edge.length_mm, "sewn_mm": edge.sewn_mm}
            for edge in piece.outline
        ],
        "seam_outline_mm": _points(piece.seam_points),
        "cut_outline_mm": _points(piece.cut_points),
        "notches": [_notch(piece, mark) for mark in piece.markings if isinstance(mark, Notch)],
        "marks": [_mark(mark) for mark in piece.markings if not isinstance(mark, Notch)],
        "figures": _figures({**piece.figures_mm, **piece.shown_mm}),
        "finishes": {
            name: {
                "kind": piece.finishes[name].kind,
                **_finish(added),
            }
            for name, added in piece.allowances.items()
        },
    }


def _notch(piece: Piece, notch: Notch) -> dict[str, Any]:
    """`at_mm` counts along the edge as drawn, clockwise from its start."""
    at_mm = along_mm(piece.outline.edge(notch.edge), notch.at)
    return {"name": notch.name, "edge": notch.edge, "at_mm": at_mm, "double": notch.double}


def _mark(mark: DrillHole | MarkedLine) -> dict[str, Any]:
    kind = mark.kind if isinstance(mark, MarkedLine) else "drill hole"
    return {"name": mark.name, "kind": kind, "points_mm": _points(mark.points)}


def _check(garment: str, check: CheckFinding) -> dict[str, Any]:
    return {
        "garment": garment,
        "name": check.name,
        "figure": _figure(check.garment_mm),
        "at_least": _figure(check.at_least_mm),
        "holds": check.holds,
        "why": check.why,
    }


def _edition(state: EditionState) -> dict[str, Any]:
    """The edition that the companion is, and what changed since the one before; null: not there."""

    def shown(one: Shown | None) -> dict[str, str] | None:
        return {"cm": one.cm, "inch": one.inch} if one else None

    return {
        "number": state.number,
        "draft": state.is_draft,
        "since": state.since,
        "changes": [
            {"what": c.what, "sizes": list(c.sizes), "old": shown(c.old), "new": shown(c.new)}
            for c in state.changes
        ],
    }


def _typed(text: str) -> dict[str, Any] | None:
    """A length as typed; None where there is none, or none that can be read."""
    try:
        return _figure(parse_length(text, None).mm)
    except ValueError:
        return None


def _cloth(cloth: EpisodeCloth) -> dict[str, Any]:
    """A cloth and its lengths, before it is washed; null where they are not known."""
    lengths = ("width", "edge_margin", "squaring", "repeat_along", "repeat_across", "have")
    return {"name": cloth.name, **{name: _typed(getattr(cloth, name)) for name in lengths}}


def _other_cloth(plan: OtherClothPlan) -> dict[str, Any]:
    """What changes with another cloth: `old` as drafted, null where that is no length."""

    def pair(old_mm: float | None, new_mm: float | None) -> dict[str, Any]:
        two = (("old", old_mm), ("new", new_mm))
        return {when: None if mm is None else _figure(mm) for when, mm in two}

    return {
        **_cloth(plan.other),
        "instead_of": plan.other.instead_of,
        "choices": [{"name": c.choice, **pair(c.old_mm, c.new_mm)} for c in plan.choices],
        "finished": [{"name": m.name, **pair(m.old_mm, m.new_mm)} for m in plan.measures],
        "hems": [
            {"edge": f"{e.piece}.{e.edge}", "old": _finish(e.old), "new": _finish(e.new)}
            for e in plan.edges
        ],
        "why": [why for why, _ in plan.hem_reasons],
    }


def _finish(added: EdgeAllowance) -> dict[str, Any]:
    return {
        "allowance": _figure(added.width_mm, "allowance"),
        "turn_under": _figure(added.turn_under_mm, "turn under"),
    }


def _cutting(table: CuttingTable) -> dict[str, Any]:
    """What a piece is cut by, for each size in the order of `sizes`; null where it is not drawn."""
    return {
        "garment": table.garment,
        "piece": table.piece,
        "rows": [
            {
                "name": row.name,
                "kind": row.kind,
                "lengths": [
                    None if mm is None else _figure(mm, row.name if row.kind == "marked" else "")
                    for mm in row.lengths_mm
                ],
            }
            for row in table.rows
        ],
    }


def _size(size: SizePlan) -> dict[str, Any]:
    """The measures of the body as far as they can be read, what is finished, what to buy."""
    measures = size.drafts[0].names if size.drafts else {}
    return {
        "name": size.body.name,
        "measures": _figures(
            {n: measures[n.lower()].value for n in size.body.measures if n.lower() in measures}
        ),
        "finished": _figures(size.finished_mm),
        "buy": {cloth: _buy(purchase) for cloth, purchase in size.purchases.items()},
        "problems": list(size.problems),
    }


def _buy(purchase: Purchase) -> dict[str, Any]:
    names = ("lay_mm", "spare_mm", "squaring_mm", "shrinkage_mm")
    return {
        **dict(zip(names, purchase.parts_mm, strict=True)),
        "mm": purchase.total_mm,
        "yards": purchase.yards,
        "metres": purchase.metres,
    }


def _lay(plan: LayPlan) -> dict[str, Any]:
    if plan.lay is None or plan.purchase is None:
        return {"cloth": plan.cloth.name, "problem": plan.problem}
    return {
        "cloth": plan.cloth.name,
        "width_mm": plan.lay.cloth.width_mm,
        "usable_width_mm": plan.lay.cloth.usable_width_mm,
        "length_mm": plan.lay.length_mm,
        "washed_width": _figure(plan.lay.cloth.washed_width_mm),
        "usable_width": _figure(plan.lay.cloth.usable_width_mm),
        "length": _figure(plan.lay.length_mm),
        "density": plan.lay.density,
        "kept": plan.kept,
        "lent_by": plan.lent_by,
        "placements": [
            {
                "name": p.name,
                "copy": p.copy,
                "turn_degrees": p.turn_degrees,
                "flipped": p.flipped,
                "x_mm": p.x_mm,
                "y_mm": p.y_mm,
            }
            for p in plan.lay.placements
        ],
        "buy": _buy(plan.purchase),
    }


def _step(plan: StepPlan) -> dict[str, Any]:
    return {
        "id": plan.step.id,
        "name": plan.step.name,
        "garment": plan.garment,
        "after": list(plan.step.after),
        "one_way": plan.step.one_way,
        "words": plan.words.plain,
        "work_minutes": _minutes(plan.work),
        "filming_minutes": _minutes(plan.filming),
        "shots": list(plan.shots),
    }


def _shot(plan: ShotPlan, first: System) -> dict[str, Any]:
    return {
        "number": plan.number,
        "id": plan.shot.id,
        "step": plan.shot.step,
        "title": plan.shot.title,
        "place": plan.shot.place,
        "takes": plan.shot.takes,
        "narration": plan.narration.plain,
        "card": plan.card.plain,
        "screen_seconds": plan.screen_seconds,
        "filming_minutes": _minutes(plan.filming),
        **said_json(plan, first),
    }


def _thread(plan: Plan) -> dict[str, Any]:
    """`waste` is a share of what machines sew; `total_mm` holds it."""
    used = thread_of(plan)
    return {
        "rows": [_thread_row(row) for row in used.rows],
        "garments": [{"name": one.garment, **_thread_parts(one.use)} for one in used.garments],
        **_thread_parts(used.total),
        "waste": used.choices.waste_per_cent / 100,
        "spool_mm": 1000.0 * used.choices.spool_m,
        "spools": [
            {"for": feed.name, "total_mm": feed.total_mm, "count": feed.spools}
            for feed in used.feeds
        ],
        "left_out": list(used.left_out),
    }


def _thread_row(row: ThreadRow) -> dict[str, Any]:
    return {
        "garment": row.garment,
        "step": row.step_id,
        "seam": row.what,
        "stitch": row.stitch.called,
        "length_mm": row.length_mm,
        "layers": row.layers,
        "thickness_mm": row.thickness_mm,
        "stitch_length_mm": row.stitch_length_mm,
        "ratio": row.ratio,
        **_thread_parts(row.use),
    }


def _thread_parts(use: ThreadUse) -> dict[str, float]:
    return {
        "needle_mm": use.needle_mm,
        "bobbin_mm": use.bobbin_mm,
        "looper_mm": use.looper_mm,
        "waste_mm": use.waste_mm,
        "total_mm": use.total_mm,
    }
