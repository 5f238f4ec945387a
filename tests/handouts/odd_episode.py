"""An episode whose texts are as awkward as texts can be."""

from typing import Any, Final

from tests.specimens import RECTANGLE, WREN
from webapp.plan.episode import Episode

# A long text is of one letter that stands nowhere else, so that its letters can be counted. None is
# narrow, all are in the fonts of the sheets, and so are their small forms.
RARE: Final = "ĀĂĄĆĈĊČĎĐĒĔĖĘĚĜĞĠĢĤĦĶĹĻĽŇŌŎŐŔŖŘŚŜŞŤŦŨŪŬŮŰŲŴŶŹŻŽŁŊŒ"
NASTY: Final = (
    "<b>bold</b> &amp; & </script>\n=1+1\n-->\n00:01 --> 00:02\n"
    "שלום עולם, חוט ומחט\nنمط القميص والإبرة\n👩🏽‍🔬🧵✂️ 布を切る 한국어\nend of it"
)


LONG: Final[dict[str, tuple[str, int]]] = {
    what: (letter, length)
    for letter, (what, length) in zip(
        RARE,
        {
            "title": 80, "channel": 200, "series": 200, "promise": 400, "body": 80, "piece": 40,
            "garment": 80, "summary": 400, "note": 200, "cloth": 80, "description": 200,
            "finished": 80, "seam": 80, "step": 80, "words": 4000, "spare": 200, "notion": 80,
            "amount": 200, "why": 400, "shot": 80, "place": 80, "card": 200, "shot’s note": 700,
            "narration": 4000, "chapter": 200, "look": 80, "press": 400,
            "other cloth": 80, "effect": 200,
        }.items(),
        strict=False,
    )
}  # fmt: skip


def word(what: str) -> str:
    """A long word of its own letter."""
    letter, length = LONG[what]
    return letter * length


def odd_episode() -> Episode:
    """Two garments, two sizes, five shots: long words, no word at all, markup, other scripts."""
    piece = word("piece")
    garments = [
        {
            "id": "bag",
            "name": word("garment"),
            "summary": word("summary"),
            "measures": ["hip"],
            "choices": [{"name": "room", "value": "3 cm", "reason": "To move."}],
            "pieces": [
                {"name": piece, "on_fold": True, "note": word("note"), "moves": [
                    RECTANGLE | {"width": "hip / 4 + room", "length": "30 cm"},
                    {"kind": "scoop", "corner": "side", "width": "5 cm", "depth": "6 cm"},
                ]},
                {"name": "Strip", "moves": [RECTANGLE | {"width": "4 cm", "length": "30 cm"}],
                 "cloth": word("cloth"), "note": NASTY},
            ],
            "finished": [{"name": word("finished"), "figure": "hip + room"}],
            "seams": [{"name": word("seam"), "one": [{"edge": f"{piece}.hem"}],
                       "other": [{"edge": "Strip.top"}], "eased_in": f"{piece}.hem - Strip.top"}],
            "steps": [
                {"id": "cut", "name": word("step"), "words": word("words"),
                 "one_way": True, "spare": word("spare"), "cautions": ["blades"],
                 "work": [{"kind": "cut", "pieces": [piece]}]},
                {"id": "sew", "name": "👩🏽‍🔬🧵✂️", "words": NASTY, "after": ["cut"],
                 "work": [{"kind": "machine", "seams": [word("seam")]}]},
                {"id": "bare", "name": "x", "after": ["sew"]},
                {"id": "knot", "name": "Knot it", "words": "knot " * 799 + "knots",
                 "after": ["bare"]},
            ],
        },
        {
            "id": "purse",
            "name": "Purse שלום",
            "pieces": [{"name": "نمط القميص", "moves": [RECTANGLE]}],
            "steps": [{"id": "cut-purse", "name": "布を切る" * 20, "one_way": True}],
        },
    ]  # fmt: skip
    shots: list[dict[str, Any]] = [
        {"title": word("shot"), "step": "cut", "place": word("place"), "card": word("card"),
         "note": word("shot’s note"), "narration": word("narration"),
         "chapter": word("chapter"), "look": "worn"},
        {"title": "👩🏽‍🔬🧵✂️ שלום", "step": "sew", "place": "نمط", "narration": NASTY,
         "card": NASTY[:200], "chapter": NASTY[:200]},
        {"title": "x", "step": "bare"},
        {"title": "Knot", "step": "knot", "narration": "knot " * 799 + "knots", "chapter": "Knots"},
        {"title": "<b>&", "step": "cut-purse", "narration": "=1+1", "card": "-->", "chapter": "&"},
    ]  # fmt: skip
    shots = [{"id": f"shot-{n}", **shot} for n, shot in enumerate(shots)]
    larger = {name: f"{1.2 * float(text[:-3]):.0f} cm" for name, text in WREN.measures.items()}
    document = {
        "id": "odd",
        "title": word("title"),
        "channel": word("channel"),
        "series": word("series"),
        "number": 9999,
        "first_unit": "in",
        "brief": {"promise": word("promise"), "publish_date": "2026-07-01"},
        "body": {"name": word("body"), "measures": dict(WREN.measures)},
        "sizes": [{"name": "<b>שלום</b> 🧵", "measures": larger}],
        "garments": garments,
        "cloths": [{"description": word("description")},
                   {"name": word("cloth"), "description": NASTY[:200]}],
        "other_cloths": [
            {"name": word("other cloth"), "instead_of": "Main cloth", "effect": word("effect")},
            {"name": "<b>🧵", "instead_of": word("cloth"), "effect": NASTY[:200]},
        ],
        "notions": [
            {"name": word("notion"), "amount": word("amount"), "why": word("why")},
            {"name": "🧵", "amount": NASTY[:200], "why": NASTY},
            {"name": "Thread", "kind": "thread"},
        ],
        "looks": [{"id": "worn", "name": word("look"), "press": word("press"),
                   "at_hand": NASTY}],
        "shots": shots,
        "shoot_days": [{"day": "2026-06-01", "shots": [shot["id"] for shot in shots],
                        "noise": [], "breaks": []}],
        "print_choices": {"nested": True},
    }  # fmt: skip
    return Episode.model_validate(document)
