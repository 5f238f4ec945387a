"""What a fitting on the body changes in a recipe: choices, finishes, added moves."""

from typing import Annotated, Literal

from pydantic import Field

from webapp.draft.construction import Id
from webapp.draft.moves import Move
from webapp.draft.recipe import Figure, Finish, Frozen, Words


class ChoiceChange(Frozen):
    """A choice gets another figure. One that quotes a measure changes every size in proportion."""

    kind: Literal["choice"] = "choice"
    garment: Id
    choice: Words
    value: Figure


class FinishChange(Frozen):
    """An edge is finished otherwise: its allowance, thread and time follow."""

    kind: Literal["finish"] = "finish"
    garment: Id
    piece: Words
    edge: Words
    finish: Finish
    # How the raw edge is neatened before it is turned: the work a single fold asks for.
    neatened: Literal["", "overlock", "machine"] = ""


class MoveChange(Frozen):
    """A move is added to a piece: before the one at that place (from 0), else at the end."""

    kind: Literal["move"] = "move"
    garment: Id
    piece: Words
    move: Move
    before: int | None = Field(None, ge=0, le=200)


FittingChange = Annotated[ChoiceChange | FinishChange | MoveChange, Field(discriminator="kind")]
