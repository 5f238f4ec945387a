"""What one person prefers on her screens, kept in cookies of her browser: it is in no plan.

A cookie also names the browser, so that what was changed in another is told as that. Nobody gains
anything by it.
"""

import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from fastapi import Response

from webapp.units import System

Look = Literal["light", "dark"]
UNITS: Final[tuple[System, ...]] = ("cm", "in")
LOOKS: Final[tuple[Look, ...]] = ("light", "dark")
BROWSER: Final = "browser"
_NAME: Final = re.compile(r"[0-9a-f]{16}")
KEPT_SECONDS: Final = 365 * 24 * 3600


@dataclass(frozen=True)
class Preferences:
    """The unit that stands first for her, and light or dark; None: the episode's, the device's."""

    first_unit: System | None = None
    look: Look | None = None

    def first(self, otherwise: System = "cm") -> System:
        """The unit that stands first where she states none: `otherwise`."""
        return self.first_unit or otherwise


NOTHING_PREFERRED: Final = Preferences()


def preferences_of(cookies: Mapping[str, str]) -> Preferences:
    """As the browser tells them; a cookie with anything else in it counts for nothing."""
    unit, look = cookies.get("first_unit", ""), cookies.get("look", "")
    return Preferences(unit if unit in UNITS else None, look if look in LOOKS else None)


def browser_of(cookies: Mapping[str, str], *, is_new: bool) -> str:
    """The name of the browser that asks. One without any may be new, and gets one; else it keeps no
    cookies, and what comes from it is of nobody."""
    name = cookies.get(BROWSER, "")
    return name if _NAME.fullmatch(name) else secrets.token_hex(8) if is_new else ""


def name_browser(answer: Response, name: str) -> None:
    """Have the browser keep its name for a year."""
    answer.set_cookie(
        BROWSER, name, max_age=KEPT_SECONDS, path="/episodes", httponly=True, samesite="lax"
    )


def remember(answer: Response, preferred: Preferences) -> None:
    """Have the browser keep them for a year, or forget what is not preferred any more."""
    kept = {"first_unit": preferred.first_unit, "look": preferred.look}
    for name, value in kept.items():
        if value:
            answer.set_cookie(
                name, value, max_age=KEPT_SECONDS, path="/", httponly=True, samesite="strict"
            )
        else:
            answer.delete_cookie(name, path="/", httponly=True, samesite="strict")
