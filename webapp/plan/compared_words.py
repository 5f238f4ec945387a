"""What is different between two revisions and is no figure, a sentence each."""

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher

from webapp.draft.construction import Work
from webapp.draft.evaluate import Draft
from webapp.draft.moves import ShapingMove
from webapp.draft.names import edge_called, listed, name_key
from webapp.draft.recipe import Finish, PieceRecipe, Recipe, Seam
from webapp.plan.comparing import View
from webapp.units import System, in_order


def words_of(old: View, new: View) -> Iterator[str]:
    """Garments, pieces, moves, finishes, seams, checks and work that are others now."""
    was = {draft.recipe.id: draft for draft in old.drafts}
    now = {draft.recipe.id: draft for draft in new.drafts}
    for garment in {**now, **was}:
        one, other = was.get(garment), now.get(garment)
        if one is None and other is not None:
            yield f"{other.recipe.name} was added."
        elif one is not None and other is None:
            yield f"{one.recipe.name} was taken away."
        elif one is not None and other is not None:
            yield from _garment(one, other, new.at.first_unit)


def _garment(old: Draft, new: Draft, first: System) -> Iterator[str]:
    was, now = old.recipe, new.recipe
    if was.name != now.name:
        yield f"{was.name} is called {now.name} now."
    yield from _choices(old, new)
    pieces = {name_key(piece.name): piece for piece in was.pieces}
    there = {name_key(piece.name): piece for piece in now.pieces}
    for key in {**there, **pieces}:
        one, other = pieces.get(key), there.get(key)
        if one is None and other is not None:
            yield f"{other.name} is a new piece."
        elif one is not None and other is None:
            yield f"{one.name} is no piece any more."
        elif one is not None and other is not None:
            yield from _piece(one, other)
    yield from _seams(old, new, first)
    yield from _checks(old, new, first)
    yield from _steps(was, now)
    yield from (f"It cannot be cut: {told}" for told in _problems(new, old, first))
    yield from (f"It could not be cut: {told}" for told in _problems(old, new, first))


def _problems(one: Draft, other: Draft, first: System) -> Iterator[str]:
    """What is in the way of one draft and not of the other."""
    known = {problem.sentence for problem in other.problems}
    for problem in one.problems:
        if problem.sentence not in known:
            yield in_order(problem.sentence, first)


def _choices(old: Draft, new: Draft) -> Iterator[str]:
    """Choices that are written otherwise and come to the same."""
    was = {name_key(choice.name): choice for choice in old.recipe.choices}
    for choice in new.recipe.choices:
        key = name_key(choice.name)
        one = was.get(key)
        same = old.names.get(key) == new.names.get(key)
        if one and one.value != choice.value and same and key in new.names:
            yield (
                f"The choice “{choice.name}” is written as {choice.value}, and was {one.value}; "
                "on this body it comes to the same."
            )


def _piece(old: PieceRecipe, new: PieceRecipe) -> Iterator[str]:
    yield from _moves(new.name, old.moves, new.moves)
    was = {name_key(name): one for name, one in old.finishes.items()}
    now = {name_key(name): one for name, one in new.finishes.items()}
    names = {name_key(name): name for name in (*old.finishes, *new.finishes)}
    for key, name in names.items():
        one, other = was.get(key, Finish()), now.get(key, Finish())
        if one.kind != other.kind:
            yield f"{new.name}, {edge_called(name)}: {other.kind}, before {one.kind}."
    for before, after in (
        (_cutting(old), _cutting(new)),
        (f"from {old.cloth}", f"from {new.cloth}"),
        (_grain(old), _grain(new)),
    ):
        if before != after:
            yield f"{new.name} is cut {after}, before {before}."


def _cutting(piece: PieceRecipe) -> str:
    times = "once" if piece.cut_count == 1 else f"{piece.cut_count} times"
    pair = " as left and right" if piece.pair else ""
    return times + pair + (" on the fold" if piece.on_fold else "")


def _grain(piece: PieceRecipe) -> str:
    ways = {"along": "along the grain", "across": "across the grain", "bias": "on the bias"}
    may = f", up to {piece.tilt:g}° off it" if piece.tilt else ""
    return ways[piece.grain] + may


def _moves(piece: str, old: Sequence[ShapingMove], new: Sequence[ShapingMove]) -> Iterator[str]:
    was, now = ([move.model_dump_json() for move in moves] for moves in (old, new))
    for tag, a, b, c, d in SequenceMatcher(None, was, now, autojunk=False).get_opcodes():
        if tag == "equal":
            continue
        both = min(b - a, d - c)
        for one, other, at in zip(old[a:b], new[c:d], range(c, d), strict=False):
            if type(one) is type(other):
                yield from _fields(f"{piece}, move {at + 1}, {_titled(other)}", one, other)
            else:
                yield f"{piece}, move {at + 1}: {_titled(other)}, before {_titled(one)}."
        for one in old[a + both : b]:
            yield f"{piece}: the move {_titled(one)} was taken out."
        for at, other in enumerate(new[c + both : d], start=c + both + 1):
            yield f"{piece}: the move {_titled(other)} was added, as move {at}."


def _titled(move: ShapingMove) -> str:
    return f"“{move.title}”"


def _fields(where: str, old: ShapingMove, new: ShapingMove) -> Iterator[str]:
    """What a move of the same kind is told otherwise."""
    if old.off != new.off:
        yield f"{where}, is left out now." if new.off else f"{where}, is done again."
    for name, info in type(new).model_fields.items():
        before, after = getattr(old, name), getattr(new, name)
        if before != after and name not in ("off", "kind"):
            title = (info.title or name.replace("_", " ")).lower()
            yield f"{where}: {title} is {_value(after)}, before {_value(before)}."


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return listed([str(one) for one in value]) or "nothing"
    return str(value) or "nothing"


def _seams(old: Draft, new: Draft, first: System) -> Iterator[str]:
    was = {name_key(seam.name): seam for seam in old.recipe.seams}
    now = {name_key(seam.name): seam for seam in new.recipe.seams}
    for key in {**now, **was}:
        one, other = was.get(key), now.get(key)
        if one is None and other is not None:
            yield f"The seam “{other.name}” was added."
        elif one is not None and other is None:
            yield f"The seam “{one.name}” was taken away."
        elif one is not None and other is not None and _sewn(one) != _sewn(other):
            yield f"The seam “{other.name}” is put together otherwise."
    agreed = {name_key(seam.name): seam.agrees for seam in old.seams}
    for seam in new.seams:
        before = agreed.get(name_key(seam.name), True)
        if before and not seam.agrees:
            yield f"A seam does not agree any more. {seam.told(first)}"
        elif seam.agrees and not before:
            yield f"The two sides of the seam “{seam.name}” agree now."


def _sewn(seam: Seam) -> tuple[object, ...]:
    return (seam.one, seam.other, seam.eased_in, seam.sewn, seam.stitch, seam.turned, seam.notches)


def _checks(old: Draft, new: Draft, first: System) -> Iterator[str]:
    held = {name_key(check.name): check.holds for check in old.checks}
    for check in new.checks:
        before = held.get(name_key(check.name), True)
        if before and not check.holds:
            yield f"The check “{check.name}” does not hold any more. {check.told(first)}"
        elif check.holds and not before:
            yield f"The check “{check.name}” holds now."


def _steps(old: Recipe, new: Recipe) -> Iterator[str]:
    """Steps that are worked otherwise: what is more there, and what is less."""
    was = {step.id: step.work for step in old.steps}
    for step in new.steps:
        before = was.get(step.id, step.work)
        more = [_work(work) for work in step.work if work not in before]
        less = [_work(work) for work in before if work not in step.work]
        if more:
            yield f"“{step.name}” takes more work: {listed(more)}."
        if less:
            yield f"“{step.name}” takes no more: {listed(less)}."


def _work(work: Work) -> str:
    on = [*work.pieces, *work.seams, *(use.edge for use in work.edges)]
    stitch = f" (stitch {work.stitch})" if work.stitch else ""
    return f"{work.kind} {listed(on)}".strip() + stitch
