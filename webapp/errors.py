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
├── ChangedElsewhereError a form was filled in on a page that is out of date
├── AlreadyDoneError      a form was sent once more, and what it asks for is done
├── PhotoError            a picture that was sent cannot be taken
├── NotThereError         the episode, shot or step asked for does not exist (any more)
└── PdfToolsMissingError  the libraries that print PDF files are not on this machine
"""


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


class ChangedElsewhereError(SeamslateError):
    """A form was filled in on a page that is out of date."""


class AlreadyDoneError(SeamslateError):
    """A form was sent once more, as when its answer was lost, and what it asks for is done."""


class PhotoError(SeamslateError):
    """A picture that was sent cannot be taken."""


class NotThereError(SeamslateError):
    """What was asked for does not exist (any more)."""


class PdfToolsMissingError(SeamslateError):
    """The libraries that print PDF files are not on this machine."""
