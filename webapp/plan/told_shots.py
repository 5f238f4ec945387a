"""What is said of many shots at once, folded so that nobody reads the same thing many times."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

_MOST: Final = 3  # sentences of a kind


@dataclass(frozen=True)
class Told:
    """A sentence about a shot, of a kind; `waiting` are the numbers of shots that wait on it."""

    kind: str
    number: int
    sentence: str
    waiting: tuple[int, ...] = ()


def folded(told: Sequence[Told]) -> Iterator[str]:
    """All that is told, kind by kind; where there is much of a kind, one for all of it."""
    for kind in dict.fromkeys(one.kind for one in told):
        alike = [one for one in told if one.kind == kind]
        shown = alike[:1] if len(alike) > _MOST else alike
        for one in shown:
            yield f"{one.sentence}{_told_waiting(one.waiting, 'it')}"
        rest = alike[len(shown) :]
        if rest:
            waiting = [number for one in rest for number in one.waiting]
            numbers = numbers_told(one.number for one in rest)
            yield (
                f"The same goes for {len(rest)} more shots: {numbers}."
                f"{_told_waiting(waiting, 'these')}"
            )


def numbers_told(numbers: Iterable[int]) -> str:
    """Numbers of shots as they are listed, runs of three and more as such.

    >>> numbers_told([15, 14, 17, 18, 19, 52])
    '14, 15, 17–19, 52'
    """
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs
    )


def _told_waiting(numbers: Sequence[int], on: str) -> str:
    if not numbers:
        return ""
    shots = "1 shot waits" if len(numbers) == 1 else f"{len(numbers)} shots wait"
    return f" {shots} on {on}: {numbers_told(numbers)}."
