"""Every error Seamslate raises on purpose. Each carries one sentence the user can act on.

SeamslateError
├── FigureError           an expression cannot be read or computed
│   └── WaitingError      … only because something it quotes is missing, which is told elsewhere
├── MoveError             a shaping move cannot be done on this piece
├── RecipeError           a recipe contradicts itself (two pieces of one name, an unknown edge)
├── StepOrderError        the steps wait on each other in a circle
├── LayError              the pieces cannot be laid on this cloth
├── EpisodeFileError      an episode file is broken, foreign or from a newer Seamslate
├── StoreError            the stored plans cannot be opened, saved, backed up or restored
│   ├── NamedDatabaseError  … a database that was named cannot be used
│   ├── InUseError          … because another program has them open
│   └── RefusedError      … because the disk or the database refuses; it says what is safe
│       ├── DiskFullError     there is no room left on the disk
│       ├── ReadOnlyError     the folder can be read and not written to
│       ├── BusyError         another program holds the plans: it is soon over
│       ├── DamagedError      the file that holds the plans is damaged
│       ├── FolderGoneError   the folder is not there (any more), as when a disk is pulled out
│       ├── DiskFaultError    the disk fails to read or to write
│       ├── ServerAwayError   the database of the team does not answer
│       └── CutShortError     the process that was to answer ended over it
├── ChangedElsewhereError a form was filled in on a page that is out of date
├── TakenOutError         … that was of something which is not in the plan any more
├── AlreadyDoneError      a form was sent once more, and what it asks for is done
├── PhotoError            a picture that was sent cannot be taken
├── PassphraseError       a passphrase cannot be taken, kept or read
├── NotThereError         the episode, shot or step asked for does not exist (any more)
│   └── DeletedError      the episode is deleted, and can be put back still
└── PdfToolsMissingError  the libraries that print PDF files are not on this machine
"""

from collections.abc import Mapping
from typing import Any, ClassVar, Final

PUT_BACK: Final = (
    "Whoever deleted it can put it back for 30 days: on the page of all episodes, at the end."
)
NOT_THIS_CHANGE: Final = "this change is not"
_ON_THE_PAGE: Final = "this change is on this page only"


class SeamslateError(Exception):
    """Base of the tree; `sentence` is what the user reads."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class FigureError(SeamslateError):
    """An expression cannot be read or computed."""


class WaitingError(FigureError):
    """A figure only waits for a measure, choice or piece that has told its own trouble."""


class MoveError(SeamslateError):
    """A shaping move cannot be done on this piece."""


class RecipeError(SeamslateError):
    """A recipe contradicts itself."""


class StepOrderError(SeamslateError):
    """The steps wait on each other in a circle."""


class LayError(SeamslateError):
    """The pieces cannot be laid on this cloth."""


class EpisodeFileError(SeamslateError):
    """An episode file is broken, foreign or from a newer Seamslate."""


class StoreError(SeamslateError):
    """The stored plans cannot be opened, saved, backed up or restored."""


class NamedDatabaseError(StoreError):
    """The database that was named cannot be used: its address, its driver, another uses it."""


class InUseError(StoreError):
    """Another program has the plans open, so they are not replaced."""


class NamedInUseError(NamedDatabaseError, InUseError):
    """Another Seamslate has the database open that was named."""


class RefusedError(StoreError):
    """The disk or the database refuses. What happened, what is safe and what to do, each told.

    `where` names the folder or file. `lost` is what was to be kept and is not, with its verb
    (“this change is not”); empty where nothing was to be kept.
    """

    status: ClassVar[int] = 503  # Service Unavailable, RFC 9110, 15.6.4
    passes: ClassVar[bool] = False  # soon, by itself: what was sent may be sent again
    _happened: ClassVar[str] = "The plans cannot be reached in {where}."
    _safe: ClassVar[str] = "Everything that was told as saved is on the disk"
    _to_do: ClassVar[str] = "Try once more."
    _is_on_disk: ClassVar[bool] = True  # what was told as saved, and `_safe` ends in that

    def __init__(self, where: object, lost: str = "") -> None:
        self.where, self.lost = where, lost
        self.happened = self._happened.format(where=where)
        told = lost if self._is_on_disk or lost != NOT_THIS_CHANGE else _ON_THE_PAGE
        self.safe = f"{self._safe}; {told}." if lost else f"{self._safe}."
        self.to_do = self._to_do.format(where=where)
        super().__init__(f"{self.happened} {self.safe} {self.to_do}")


class DiskFullError(RefusedError):
    """There is no room left on the disk."""

    status = 507  # Insufficient Storage, RFC 4918, 11.5
    _happened = "There is no room left on the disk that holds {where}."
    _to_do = "Make room on that disk: delete or move what you do not need. Then try once more."


class ReadOnlyError(RefusedError):
    """The folder can be read and not written to."""

    _happened = "{where} can be read, but nothing can be written there."
    _to_do = (
        "If it is on a card or a stick, see whether its lock is on; else allow writing to the "
        "folder. Then try once more."
    )


class BusyError(RefusedError):
    """Another program holds the plans: it is soon over."""

    passes = True
    _happened = "Another program holds {where} just now, perhaps a second Seamslate or a backup."
    _to_do = "Wait a moment, then try once more."


class DamagedError(RefusedError):
    """The file that holds the plans is damaged."""

    _happened = "{where} is damaged: what is in it is not what was written."
    _safe = "Nothing was changed in it just now, and the copies of your plans are files apart"
    _is_on_disk = False
    _to_do = "Do not go on working in it: see Seamslate's page “Copies” for what can be put back."


class FolderGoneError(RefusedError):
    """The folder is not there (any more), as when a disk is pulled out."""

    _happened = (
        "{where} is not there any more: it was moved or deleted, or its disk was pulled out."
    )
    _safe = "What was told as saved is in the folder that is gone"
    _is_on_disk = False
    _to_do = (
        "Put it back in its place, then try once more: nothing need be started again. If it was "
        "deleted, see Seamslate's page “Copies”, or put a backup of yours back."
    )


class DiskFaultError(RefusedError):
    """The disk fails to read or to write."""

    _happened = "The disk did not read or write {where} as it should."
    _to_do = (
        "Try once more. If it fails again, the disk may be failing: copy the folder to another "
        "disk and have this one looked at."
    )


class ServerAwayError(RefusedError):
    """The database of the team does not answer."""

    passes = True
    _happened = "The database at {where} does not answer."
    _safe = "Everything that was told as saved is in that database"
    _to_do = "See whether its computer is on and can be reached, then try once more."


class CutShortError(RefusedError):
    """The process that was to answer ended over it."""

    passes = True
    _happened = "The part of Seamslate that works on {where} ended, and is begun again."


class ChangedElsewhereError(SeamslateError):
    """A form was filled in on a page that is out of date.

    Where it is known what that showed: what the form would alter, and what others altered since, by
    the way to it in the plan, each with what it would be and what it was.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.hers: Mapping[tuple[Any, ...], Any] = {}
        self.others: Mapping[tuple[Any, ...], Any] = {}


class TakenOutError(SeamslateError):
    """A form was filled in for something that was taken out of the plan meanwhile.

    Not a ChangedElsewhereError, which is told on the page: what was typed has no field there.
    """

    happened = (
        "What this belongs to was taken out of the plan meanwhile, or moved or given another name, "
        "in another tab or window or by someone else."
    )
    safe = "Nothing was changed."
    to_do = (
        "Copy what you typed, then load the page anew and see how it stands. What was taken out, "
        "Undo brings back, if that was the last change."
    )

    def __init__(self, deleted: "DeletedError | None" = None) -> None:
        if deleted is not None:  # the whole episode
            self.happened, self.to_do = deleted.happened, f"Copy what you typed. {PUT_BACK}"
        super().__init__(f"{self.happened} {self.to_do}")


class AlreadyDoneError(SeamslateError):
    """A form was sent once more, as when its answer was lost, and what it asks for is done."""


class PhotoError(SeamslateError):
    """A picture that was sent cannot be taken."""


class PassphraseError(SeamslateError):
    """A passphrase cannot be taken, kept or read."""


class NotThereError(SeamslateError):
    """What was asked for does not exist (any more)."""


class DeletedError(NotThereError):
    """The episode asked for is deleted, and can be put back still."""

    def __init__(self, title: str) -> None:
        self.happened = f"The episode “{title}” is deleted."
        super().__init__(f"{self.happened} {PUT_BACK}")


class PdfToolsMissingError(SeamslateError):
    """The libraries that print PDF files are not on this machine."""
