"""Whether as many pieces are cut as the seams sew."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from webapp.draft.evaluate import Draft, Piece
from webapp.draft.names import name_key
from webapp.draft.outline import Edge
from webapp.draft.recipe import Seam
from webapp.remembered import Same

# How often an edge is sewn, by all the edges its seam joins.
_Uses = Mapping[str, Mapping[frozenset[str], int]]


@dataclass(frozen=True, slots=True)
class Shortage:
    """An edge that is sewn more often than it is cut.

    `certain` when the same edges are joined so often. Else only different seams add up to it, and
    they may run along one edge together, as a collar is caught between neck and facing.
    """

    piece: Piece
    edge: str
    sewn: int
    certain: bool

    @property
    def sentence(self) -> str:
        """What is sewn how often, and what is cut."""
        name, count = self.piece.name, self.piece.cut_count
        cut = f"only 1 {name} is cut" if count == 1 else f"{name} is cut only {count} times"
        fold = ", on the fold" if self.piece.on_fold else ""
        unless = "" if self.certain else "; that is right only where two seams share the edge"
        return f"{name}.{self.edge} is sewn {self.sewn} times, but {cut}{fold}{unless}."


def shortages(draft: Draft) -> tuple[Shortage, ...]:
    """The gravest shortage of each piece: cut once more, it may mend the others."""
    return _shortages(Same((draft,)))


@lru_cache(maxsize=100)
def _shortages(of: Same) -> tuple[Shortage, ...]:
    return tuple(_each_shortage(*of.values))


def _each_shortage(draft: Draft) -> Iterator[Shortage]:
    uses = _uses(draft.recipe.seams)
    for piece in draft.pieces:
        found = [each for edge in piece.outline for each in _shortage(piece, edge, uses)]
        if found:
            yield min(found, key=lambda each: not each.certain)


def _uses(seams: Iterable[Seam]) -> _Uses:
    uses: dict[str, Counter[frozenset[str]]] = defaultdict(Counter)
    for seam in seams:
        joined = frozenset(name_key(use.edge) for use in (*seam.one, *seam.other))
        for use in (*seam.one, *seam.other):
            uses[name_key(use.edge)][joined] += use.times * seam.sewn
    return uses


def _shortage(piece: Piece, edge: Edge, uses: _Uses) -> Iterator[Shortage]:
    sewn = uses.get(name_key(f"{piece.name}.{edge.name}"), {}).values()
    there = piece.cut_count * (2 if piece.on_fold and not edge.on_fold else 1)
    if sum(sewn) > there:
        certain = max(sewn) > there
        yield Shortage(piece, edge.name, max(sewn) if certain else sum(sewn), certain)
