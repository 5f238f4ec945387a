"""Which cautions the steps bring: those they name and those of their kinds of work."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final, get_args

from webapp.draft.construction import Caution, Step, WorkKind

# What a kind of work brings with it, whether or not the step says so.
_BY_WORK: Final[Mapping[WorkKind, Caution]] = MappingProxyType(
    {
        "cut": "blades",
        "press": "iron",
        "pin": "needles",
        "machine": "needles",
        "overlock": "needles",
        "hand": "needles",
    }
)


def cautions_of(steps: Iterable[Step]) -> tuple[Caution, ...]:
    """The cautions of these steps, as stated and as their work brings, each once."""
    used: set[Caution] = set()
    for step in steps:
        used |= set(step.cautions)
        used |= {_BY_WORK[work.kind] for work in step.work if work.kind in _BY_WORK}
    return tuple(caution for caution in get_args(Caution) if caution in used)
