"""What was drafted before is used again while all that it was drafted from is the same."""

from collections.abc import Callable, Hashable
from typing import Final, Generic, TypeVar

from webapp.draft.names import Figures, Quantity
from webapp.remembered import Remembered

Result = TypeVar("Result")

_ABSENT: Final = Quantity(0.0, -1)


class ReadFigures(Figures):
    """Figures that note by which names they were asked for, there or not."""

    def __init__(self, known: Figures) -> None:
        super().__init__(known)
        self.read: set[str] = set()

    def __contains__(self, name: object) -> bool:
        self.read.add(str(name))
        return super().__contains__(name)

    def __getitem__(self, name: str) -> Quantity:
        self.read.add(name)
        return super().__getitem__(name)


class Reuse(Generic[Result]):
    """Results by what they were made of, and by the figures that were read to come to them.

    Which figures those are shows as a result is made. Every figure that was read for the same
    thing before counts too, so what is found was made with all of them as they are now.
    """

    def __init__(self, most: int) -> None:
        self._read: Remembered[Hashable, frozenset[str]] = Remembered(most)
        self._results: Remembered[Hashable, Result] = Remembered(most)

    def get(
        self,
        of: Hashable,
        figures: Figures,
        make: Callable[[Figures], Result],
        keep: Callable[[Result], bool],
    ) -> Result:
        """The result with these figures, made now if it is not remembered.

        `make` reads figures only from what it is handed, by name. Only what passes `keep` is
        remembered.
        """
        read = self._read.get(of, frozenset)
        known = self._results.find(self._key(of, read, figures))
        if known is not None:
            return known
        reading = ReadFigures(figures)
        result = make(reading)
        if keep(result):
            read = read | reading.read
            self._read.put(of, read)
            self._results.put(self._key(of, read, figures), result)
        return result

    def _key(self, of: Hashable, read: frozenset[str], figures: Figures) -> Hashable:
        return of, tuple((name, figures.get(name, _ABSENT)) for name in sorted(read))
