"""How the companion's pages are filled: none is turned for one pocket, or the cautions alone."""

import pytest

from tests.demo_documents import EPISODES, SKIRT, SMOCK, STARTERS
from tests.handouts.read_pages import Page, pages_of
from tests.plan.same_plan import episode_of
from webapp.handouts.companion import companion_pdf
from webapp.handouts.printing import PaperName
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

_MM = 72 / 25.4
_HEAD, _FOOT = 18 * _MM, 25.5 * _MM  # the margins that companion.css leaves

ON_PAPER: list[tuple[str, Episode, PaperName]] = [
    ("smock", EPISODES[SMOCK], "letter"),
    ("skirt", EPISODES[SKIRT], "a4"),
    *(
        (name, episode_of(STARTERS[name]), "a4")
        for name in ("bound-apron", "elastic-waist-trousers", "gathered-skirt")
    ),
]


def _filled(page: Page) -> float:
    """How far down the text block goes that is printed on the page, 0 to 1."""
    height = page.size[1]
    lowest = min(bottom for _, bottom, _, _ in page.boxes if bottom > _FOOT)
    return float((height - _HEAD - lowest) / (height - _HEAD - _FOOT))


@pytest.mark.parametrize(
    ("episode", "paper"), [each[1:] for each in ON_PAPER], ids=[each[0] for each in ON_PAPER]
)
def test_no_page_but_the_last_is_left_half_empty(episode: Episode, paper: PaperName) -> None:
    """What is small stands between what is large: cautions and lists after pieces, before lays."""
    pages = pages_of(companion_pdf(evaluate(episode), paper))
    assert len(pages) > 5
    assert [n for n, page in enumerate(pages[:-1], start=1) if _filled(page) < 0.5] == []
