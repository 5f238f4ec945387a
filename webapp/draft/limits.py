"""How many there may be of each: more are not added, but a plan from before there was a limit is
read as it is."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from typing import Any, TypeVar

from pydantic import BaseModel, GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

Model = TypeVar("Model", bound=BaseModel)


@dataclass
class Beyond:
    """What is beyond its limit, for a reader that takes it all the same: pydantic's context.

    Of each kind, the most there are, and how many times the limit that is.
    """

    found: dict[str, tuple[int, float]] = field(default_factory=dict)

    def note(self, what: str, count: int, most: int) -> None:
        """There are so many of these, where there may be `most`."""
        self.found[what] = max(self.found.get(what, (0, 0.0)), (count, count / most))

    def is_no_more_than(self, other: "Beyond") -> bool:
        """Whether nothing here is beyond its limit, or only as far as it was in the other."""
        return all(
            how_far <= other.found.get(what, (0, 0.0)) for what, how_far in self.found.items()
        )

    def times(self) -> float:
        """How many times its limit there is of what there is most of; 0 where all is within."""
        return max((times for _, times in self.found.values()), default=0.0)


def grown_no_more(model: type[Model], fields: Any, before: Any) -> Model:
    """The model of these fields, checked; nothing may be further beyond its limit than `before`.

    pydantic's ValidationError.
    """
    now, was = Beyond(), Beyond()
    made = model.model_validate(fields, context=now)
    if now.found:
        model.model_validate(before, context=was)
        if not now.is_no_more_than(was):
            return model.model_validate(fields)  # which tells it
    return made


def refuse_beyond(
    info: ValidationInfo, what: str, count: int, most: int, error: Callable[[], Exception]
) -> None:
    """Raise the error when there are more than `most`, unless the reader takes that."""
    if count <= most:
        return
    if not isinstance(info.context, Beyond):
        raise error()
    info.context.note(what, count, most)


@dataclass(frozen=True)
class AtMost:
    """Annotates a tuple: it has so many entries and no more."""

    most: int

    def __get_pydantic_core_schema__(self, of: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        def checked(found: tuple[Any, ...], info: ValidationInfo) -> tuple[Any, ...]:
            what = str(info.field_name)
            refuse_beyond(info, what, len(found), self.most, partial(self._error, len(found)))
            return found

        return core_schema.with_info_after_validator_function(checked, handler(of))

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {**handler(schema), "maxItems": self.most}

    def _error(self, count: int) -> PydanticCustomError:
        counts = {"actual_length": count, "max_length": self.most}
        return PydanticCustomError("too_long", "this is too long", counts)  # told by `store.faults`
