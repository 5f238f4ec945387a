"""Every page there is, as addresses: for what must hold of all of them.

`test_every_page.py` fails when the app answers a GET that is listed nowhere here.
"""

from typing import Final

SMOCK: Final = "/episodes/small-wardrobe-3"
SKIRT: Final = "/episodes/small-wardrobe-4"
BRIEF_ONLY: Final = "/episodes/small-wardrobe-5"

HOUSE: Final = (
    "/",
    "/start",
    "/keys",
    "/settings",
    "/copies",
    "/series",
    "/series/Small%20Wardrobe",
)

WITHIN: Final = (
    "", "/brief", "/draft", "/fittings", "/sizes", "/cloth", "/ways", "/offcuts", "/other-cloths",
    "/shopping", "/thread", "/build", "/shots", "/set-ups", "/days", "/running-time", "/times",
    "/rates", "/companion", "/pattern", "/worksheet", "/call-sheets", "/files", "/threads",
    "/table", "/find",
)  # fmt: skip

# The same pages with something open in them.
OPENED: Final = (
    f"{SMOCK}/draft?piece=Front",
    f"{SMOCK}/draft?piece=Sleeve&add=slope",
    f"{SMOCK}/fittings?piece=Front",
    f"{SMOCK}/fittings/compare",
    f"{SMOCK}/shots?edit=chalk-front",
    f"{SMOCK}/worksheet?blank=true",
    f"{SMOCK}/find?q=hem",
    f"{SMOCK}/find?q=nothing+of+the+kind",
    f"{SKIRT}/draft",
    f"{SKIRT}/cloth",
    f"{SKIRT}/threads",
    "/episodes/not-there/draft",
)

ADDRESSES: Final = (
    *HOUSE,
    *(f"{SMOCK}{page}" for page in WITHIN),
    *(f"{BRIEF_ONLY}{page}" for page in WITHIN),
    *OPENED,
)

# What is answered with a file, a picture or a part of a page.
NO_PAGES: Final = frozenset(
    {
        "/episodes/{episode_id}/episode.json",
        "/photos/{name}",
        "/episodes/{episode_id}/glance/drawing.svg",
        "/episodes/{episode_id}/elsewhere",
        "/episodes/{episode_id}/glance/card",
        "/episodes/{episode_id}/glance/cloth",
        "/episodes/{episode_id}/fittings/{fitting_id}/cloth",
        "/episodes/{episode_id}/fittings/compare/cloth",
        "/starters/{starter}.svg",
        "/episodes/{episode_id}/shopping/shopping-list.pdf",
        "/episodes/{episode_id}/shopping/shopping.csv",
        "/episodes/{episode_id}/companion/companion.pdf",
        "/episodes/{episode_id}/pattern/pattern.pdf",
        "/episodes/{episode_id}/worksheet/worksheet.pdf",
        "/episodes/{episode_id}/call-sheets/call-sheet.pdf",
        "/episodes/{episode_id}/files/{name}",
        "/episodes/{episode_id}/prints/{key}",
        "/episodes/{episode_id}/prints/{key}/{number}.png",
        "/episodes/{episode_id}/threads/count",
        "/episodes/{episode_id}/at-work",
        "/episodes/{episode_id}/texts/figures",
        "/episodes/{episode_id}/shots/{shot_id}",
        "/episodes/{episode_id}/draft/outdated",
    }
)
