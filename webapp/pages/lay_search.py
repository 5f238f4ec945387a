"""Searching for a tighter lay: work for a process of its own, and keeping what it finds."""

from typing import Final

from webapp.cloth.cloths import KeptLay, KeptPlacement
from webapp.cloth.lay import Cloth, Lay, LayPiece, lay_out
from webapp.jobs import Report
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.lays import LayPlan
from webapp.units import System, both

SECONDS: Final = 8  # most garments' lays stop improving after a few
_HAIR_MM: Final = 0.5
_KEPT_OF_A_CLOTH: Final = 4


def job_key(episode_id: str, lay: LayPlan) -> str:
    """The key of the search for these pieces on this cloth."""
    return f"lay {episode_id} {lay.key}"


def search(report: Report, pieces: tuple[LayPiece, ...], cloth: Cloth, first: System) -> Lay:
    """Lay the pieces, reporting each shorter lay, in words too. Runs in a job's process."""
    begun_mm: list[float] = []

    def tell(lay: Lay) -> None:
        begun_mm.append(lay.length_mm)
        saved = begun_mm[0] - lay.length_mm
        shorter = f", {both(saved, first)} less than the quick lay" if saved > _HAIR_MM else ""
        used = f"{lay.density * 100:.0f} % of it used"
        report(f"Best so far: {both(lay.length_mm, first)} of cloth, {used}{shorter}.", lay)

    return lay_out(pieces, cloth, seconds=SECONDS, progress=tell)


def with_kept_lay(episode: Episode, plan: LayPlan, found: Lay) -> Episode:
    """The episode with the lay kept for this cloth, if it is shorter than the one there is.

    The latest that were kept of the cloth for other drafts stay: an undo leads back to them.
    """
    if plan.lay is not None and found.length_mm >= plan.lay.length_mm - _HAIR_MM:
        return episode
    placements = tuple(
        KeptPlacement(
            name=p.name,
            copy_number=p.copy,
            turn_degrees=p.turn_degrees,
            flipped=p.flipped,
            x_mm=p.x_mm,
            y_mm=p.y_mm,
        )
        for p in found.placements
    )
    kept = KeptLay(cloth=plan.cloth.name, key=plan.key, placements=placements)
    others = [lay for lay in episode.kept_lays if (lay.cloth, lay.key) != (kept.cloth, kept.key)]
    of_cloth = [lay for lay in others if lay.cloth == kept.cloth]
    gone = of_cloth[: 1 - _KEPT_OF_A_CLOTH]
    return changed(episode, kept_lays=(*(lay for lay in others if lay not in gone), kept))
