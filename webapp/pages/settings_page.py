"""Settings: what one person prefers on her screens. They are kept by her browser, in no plan."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from webapp.pages.forms import UNANSWERED, Answers, Field, needed, one_of, read_form
from webapp.pages.house import InHouse, Sent
from webapp.pages.preferences import Preferences, preferences_of, remember

router = APIRouter()

FIRST_UNITS: Final[Mapping[str, str]] = {
    "": "As each episode has it",
    "cm": "Centimetres, inches in brackets",
    "in": "Inches, centimetres in brackets",
}
LOOKS: Final[Mapping[str, str]] = {
    "": "As this device is set",
    "light": "Light",
    "dark": "Dark",
}
_FIELDS: Final = needed(
    (Field("first_unit", one_of(FIRST_UNITS)), Field("look", one_of(LOOKS))), "first_unit", "look"
)


@dataclass(frozen=True)
class SettingsView:
    """What is preferred now, the answers to choose from, and whether they were just kept."""

    preferred: Preferences
    kept: bool = False
    answers: Answers = UNANSWERED

    @property
    def first_units(self) -> tuple[tuple[str, str], ...]:
        """Which unit may stand first, with the words."""
        return tuple(FIRST_UNITS.items())

    @property
    def looks(self) -> tuple[tuple[str, str], ...]:
        """How the pages may look, with the words."""
        return tuple(LOOKS.items())


@router.get("/settings")
def settings(request: Request, house: InHouse, kept: str = "") -> Response:
    view = SettingsView(house.preferred, kept == "yes")
    return house.show(request, "settings/settings.html", view)


@router.post("/settings")
def keep(request: Request, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, _FIELDS)
    if answers.errors:
        view = SettingsView(house.preferred, answers=answers)
        return house.show(request, "settings/settings.html", view, status=answers.status)
    answer = RedirectResponse("/settings?kept=yes", status_code=303)
    remember(answer, preferences_of(answers.values))
    return answer
