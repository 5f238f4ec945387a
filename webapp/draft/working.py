"""Which parts of the formulas of a worksheet are worked out once, on a line of their own.

A part that several lines need is one; so is a part of a line that would be too long to be read
out, or have brackets within brackets.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Set
from dataclasses import replace
from typing import Final

from webapp.draft.tree import Call, Constant, Name, Negative, Node, Product, Quotient, Sum

LONGEST_WORDS: Final = 25  # of one line; common practice, no source: what is read in one go
_DEEPEST: Final = 1  # brackets within brackets are lost count of

Named = Set[Node]  # parts that have a line, and are called by it


def parts(node: Node, named: Named) -> Iterator[Node]:
    """What a formula is told by, from the whole to its figures; not what a named part is made of.

    The beginning of a sum is no part of it, unless it is named.
    """
    for child in _children(node, named):
        yield child
        if child not in named:
            yield from parts(child, named)


def rebuilt(node: Node, instead: Callable[[Name], Node]) -> Node:
    """The formula with something else in place of its names."""
    match node:
        case Name():
            return instead(node)
        case Negative(of):
            return Negative(rebuilt(of, instead))
        case Sum(left, right) | Product(left, right) | Quotient(left, right):
            return replace(node, left=rebuilt(left, instead), right=rebuilt(right, instead))
        case Call(function, arguments):
            return Call(function, tuple(rebuilt(each, instead) for each in arguments))
    return node


def shared_parts(
    lines: Iterable[Node], may_be_named: Callable[[Node], bool], named: Named
) -> list[Node]:
    """The parts that two lines or more are made of, the largest first; `named` have a line."""
    forest = [(line, set(parts(line, named))) for line in lines]
    counts = Counter(part for _, made_of in forest for part in made_of)
    found: list[Node] = []
    # A part of two sizes is a part of one line less once the larger has a line of its own, never of
    # one more: so each is looked at once.
    for part in sorted((p for p, n in counts.items() if n > 1 and p not in named), key=_largest):
        if counts[part] < 2 or not may_be_named(part):
            continue
        found.append(part)
        forest.append((part, set()))
        known = {*named, *found}
        for place, (line, made_of) in enumerate(forest):
            if line is part or part in made_of:
                counts.subtract(made_of)
                forest[place] = line, set(parts(line, known))
                counts.update(forest[place][1])
    return found


def broken_up(
    line: Node,
    told: Callable[[Node, Named], str],
    may_be_named: Callable[[Node], bool],
    named: Named,
) -> list[Node]:
    """The parts that need a line of their own for this one, and theirs, to be read in one go."""
    found: list[Node] = []
    while not reads_easily(told(line, {*named, *found} - {line})):
        known = {*named, *found}
        choice = [part for part in parts(line, known) if may_be_named(part) and part not in known]
        if not choice:
            break
        easy = [part for part in choice if reads_easily(told(part, known))]
        part = max(easy, key=_size) if easy else min(choice, key=_size)
        found.append(part)
        found += broken_up(part, told, may_be_named, {*known, part})
    return found


def reads_easily(words: str) -> bool:
    """True for a formula that is neither too long nor has brackets within brackets."""
    depth = deepest = 0
    for sign in words:
        depth += (sign == "(") - (sign == ")")
        deepest = max(deepest, depth)
    return deepest <= _DEEPEST and len(words.split()) <= LONGEST_WORDS


def is_group(node: Node, is_number: Callable[[Node], bool]) -> bool:
    """True for a sum or a choice between figures, or so many times or such a part of one."""
    match node:
        case Sum() | Call():
            return True
        case Negative(of):
            return is_group(of, is_number)
        case Product(left, right):
            return (is_number(left) and is_group(right, is_number)) or (
                is_number(right) and is_group(left, is_number)
            )
        case Quotient(left, right):
            return is_number(right) and is_group(left, is_number)
    return False


def _children(node: Node, named: Named) -> Iterator[Node]:
    match node:
        case Negative(of):
            yield of
        case Sum(left, right):
            yield from _terms(left, named)
            yield right
        case Product(left, right) | Quotient(left, right):
            yield left
            yield right
        case Call(_, arguments):
            yield from arguments


def _terms(node: Node, named: Named) -> Iterator[Node]:
    if isinstance(node, Sum) and node not in named:
        yield from _terms(node.left, named)
        yield node.right
    else:
        yield node


def _largest(node: Node) -> tuple[int, str]:
    """Sorts the largest parts first, those of one size always alike."""
    return -_size(node), repr(node)


def _size(node: Node) -> int:
    if isinstance(node, Constant | Name):
        return 1
    return 1 + sum(map(_size, _children(node, frozenset())))
