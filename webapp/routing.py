"""Whose page an address is: only the routes of the pages that it may be of are tried."""

import re

from fastapi import APIRouter
from starlette.routing import Match, compile_path
from starlette.types import Scope


class Below(APIRouter):
    """The routes of one page, none of which is tried for an address that begins otherwise.

    Else each request is held against some three hundred routes, one after another.
    """

    def __init__(self, page: APIRouter) -> None:
        super().__init__(routes=page.routes)  # to include the page in this would build them anew
        whole, _, _ = compile_path(page.prefix)
        self._beginning = re.compile(whole.pattern.removesuffix("$"))

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Whether a route of the page answers the address."""
        if not self._beginning.match(scope["path"].removeprefix(scope.get("root_path", ""))):
            return Match.NONE, {}
        return super().matches(scope)
