"""All looks one after the other, each told as soon as it is done."""

import sqlite3
import textwrap
from collections.abc import Callable, Iterable, Iterator
from typing import Final

from sqlalchemy.exc import SQLAlchemyError

from webapp.doctor.finding import Finding
from webapp.doctor.folder import folder, log_file, room
from webapp.doctor.machine import fonts, pdf_files, port, processes, versions
from webapp.doctor.plans import plans
from webapp.errors import SeamslateError
from webapp.settings import Settings

_WIDTH: Final = 100
_INDENT: Final = 14

_LOOKS: Final[tuple[Callable[[Settings], Iterable[Finding]], ...]] = (
    versions, pdf_files, fonts, folder, room, plans, log_file, port, processes
)  # fmt: skip


def findings(settings: Settings) -> Iterator[Finding]:
    """What is found; a look that fails is one of them and keeps nobody from the others."""
    for look in _LOOKS:
        about = look.__name__.replace("_", " ").capitalize()
        try:
            yield from look(settings)
        except SeamslateError as error:
            yield Finding(about, "to do", error.sentence)
        except (OSError, sqlite3.Error, SQLAlchemyError) as error:
            yield Finding(about, "cannot look", f"{error}".partition("\n")[0])
        except Exception as error:  # a fault of ours must not keep her from the rest
            yield Finding(about, "cannot look", f"{type(error).__name__}: {error}")


def told(found: Finding) -> str:
    """A finding as it is printed: its state first, the words beside each other.

    What is to be typed has a line of its own, which is not broken.
    """
    words, *lines = f"{found.about}: {found.words}".split("\n")
    filled = textwrap.fill(
        words,
        _WIDTH,
        initial_indent=f"{found.state:<{_INDENT}}",
        subsequent_indent=" " * _INDENT,
        break_on_hyphens=False,
        break_long_words=False,
    )
    return "\n".join([filled, *(f"{' ' * _INDENT}{line}" for line in lines)])


def examine(settings: Settings) -> int:
    """Print what is found. 0 when all is well, 1 when there is something to do, 2 when something
    could not be looked at."""
    states = []
    for found in findings(settings):
        print(told(found), flush=True)
        states.append(found.state)
    to_do, unseen = states.count("to do"), states.count("cannot look")
    if to_do:
        print(f"\n{'One thing' if to_do == 1 else f'{to_do} things'} to do.")
        return 1
    print("\nSome things could not be looked at." if unseen else "\nAll is well.")
    return 2 if unseen else 0
