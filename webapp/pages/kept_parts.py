"""Parts of a page that are rendered once, and used again as long as they would look the same."""

from collections.abc import Callable, Hashable, Iterable
from typing import Final, TypeVar

from markupsafe import Markup

from webapp.remembered import Remembered

Row = TypeVar("Row")

MOST_LETTERS: Final = 12_000_000  # the rows of a dozen episodes; up to two bytes a letter
# Where the forms of a part carry the edition of their page, which every edit changes. No text can
# look like it: what is typed is escaped, so that it holds no bracket.
_EDITION: Final = Markup("<edition>")
_parts: Final[Remembered[tuple[Hashable, ...], str]] = Remembered(MOST_LETTERS, len)


class KeptParts:
    """How the templates of one page keep its parts: `{% call kept(key, shell.edition) %}` around
    one, `{{ kept(key, shell.edition, macro, row) }}` for what a macro shows, and for many such
    `{{ kept.each(rows, key_of, shell.edition, macro) }}`.

    `key` names all that the part shows but the edition; without one it is rendered as ever, as it
    must be where a form in it has something to mend, which the page tells at its top as well.
    """

    def __init__(self) -> None:
        self._inside = False

    def __call__(
        self,
        key: tuple[Hashable, ...] | None,
        edition: int,
        caller: Callable[..., str],
        *shown: object,
    ) -> Markup:
        return self._dated(self._part(key, caller, *shown), edition)

    def each(
        self,
        rows: Iterable[Row],
        key_of: Callable[[Row], tuple[Hashable, ...] | None],
        edition: int,
        show: Callable[[Row], str],
    ) -> Markup:
        """Many parts, one after another, each as `show` shows it."""
        return self._dated("".join(self._part(key_of(row), show, row) for row in rows), edition)

    def edition(self, now: int) -> int | Markup:
        """What the address of a form says of its page's edition: inside a part that is kept, a
        place for it."""
        return _EDITION if self._inside else now

    def _dated(self, part: str, edition: int) -> Markup:
        return Markup(part if self._inside else part.replace(_EDITION, str(edition)))

    def _part(
        self, key: tuple[Hashable, ...] | None, caller: Callable[..., str], *shown: object
    ) -> str:
        if key is None:
            return caller(*shown)
        return _parts.get(key, lambda: self._made(caller, shown))

    def _made(self, caller: Callable[..., str], shown: tuple[object, ...]) -> str:
        around, self._inside = self._inside, True
        try:
            return str(caller(*shown))
        finally:
            self._inside = around
