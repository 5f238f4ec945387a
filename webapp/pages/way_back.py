"""The way back to the page of an episode that a button stood on, at the same place of it."""

from typing import Final

from fastapi import Request

from webapp.pages.house import address_told

PAGES: Final = ("brief", "draft", "fittings", "sizes", "cloth", "shopping", "build", "shots",
                "days", "running-time", "times", "table", "companion", "threads")  # fmt: skip
_PAGES_WITHIN: Final = ("ways", "offcuts", "other-cloths", "thread", "rates", "set-ups",
                        "pattern", "worksheet", "call-sheets", "files", "find")  # fmt: skip


def page_before(request: Request, episode_id: str) -> str:
    """The address of the episode's page that was shown; that of its front page if none was."""
    front = f"/episodes/{episode_id}"
    came_from = address_told(request, "referer")
    before, _, name = came_from.path.rpartition("/")
    if came_from.path == front or (before == front and name in (*PAGES, *_PAGES_WITHIN)):
        return f"{came_from.path}?{came_from.query}".rstrip("?")
    return front
