"""Loose threads of the companion's editions: what viewers have is not what the sheet shows now."""

from collections.abc import Iterable

from webapp.draft.names import as_listed
from webapp.plan.editions import EditionChange, changes_since_last, last_edition
from webapp.plan.results import LooseThread, Place, Plan


def companion_is_outdated(plan: Plan) -> Iterable[LooseThread]:
    """Figures of the edition that is out have changed: grave when viewers cut by one of them.

    What needs no lay is compared first, so that lays are asked for only when nothing else tells a
    change and something that lengths of cloth depend on did: see `editions.changes_since_last`.
    """
    last = last_edition(plan.episode)
    changes = changes_since_last(plan)
    if last is None or not changes:
        return
    cut = [one for one in changes if one.kind == "cut"]
    told = (  # how many there are is told with the companion, where lengths of cloth are known
        f"Edition {last.number} of the companion is out and figures of it have changed since, such "
        f"as {_told(plan, (cut or changes)[0])}. Number a new edition."
    )
    place = Place("companion", item="edition")
    yield LooseThread("must" if cut else "should", place, told)


def _told(plan: Plan, change: EditionChange) -> str:
    """Front hem: 36 cm (14 1/8 in), now 38 cm (15 in)."""
    was, now = change.told(plan.episode.first_unit)
    return f"{as_listed(change.name)}: {was}, now {now}"
