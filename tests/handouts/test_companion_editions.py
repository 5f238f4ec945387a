"""An edition keeps what its sheet shows, and the sheet says which edition it is.

HTML is read with html5lib and PDF with pypdf, which share no code with what wrote them.
"""

import re
from datetime import date
from typing import Final

import html5lib  # type: ignore[import-untyped]
import pytest

from tests.demo_documents import EPISODES, SKIRT, SMOCK, each_episode
from tests.handouts.read_pages import words_of
from webapp.draft.recipe import Notion
from webapp.handouts.companion import companion_html, companion_of, companion_pdf
from webapp.plan.editions import edition_now, edition_state, with_edition
from webapp.plan.edits import changed, in_size, with_choice
from webapp.plan.episode import Edition, Episode
from webapp.plan.evaluate import evaluate

DAY: Final = date(2027, 1, 12)
TWO_SIZES: Final = changed(EPISODES[SMOCK], sizes=EPISODES[SMOCK].sizes[:1], other_cloths=())
_METRIC: Final = r"-?\d+(?:\.\d+)? (?:cm|m)"
_IMPERIAL: Final = r"-?(?:\d+ \d+/\d+|\d+/\d+|\d+) (?:in|yd)"
_BOTH: Final = re.compile(rf"({_METRIC}) \(({_IMPERIAL})\)|({_IMPERIAL}) \(({_METRIC})\)")
_METRICS: Final = re.compile(rf"{_METRIC}\b")
_IMPERIALS: Final = re.compile(rf"{_IMPERIAL}\b")


def lengths_of(text: str) -> set[tuple[str, str]]:
    """Every length told in both units, metric first."""
    plain = " ".join(text.replace("\u00a0", " ").split())
    return {(m[1], m[2]) if m[1] else (m[4], m[3]) for m in _BOTH.finditer(plain)}


def kept_in(edition: Edition) -> set[tuple[str, str]]:
    """Every length an edition keeps, also those within words."""
    found = set()
    for figure in edition.figures:
        for cm, inch in zip(figure.cm, figure.inch, strict=bool(figure.inch)):
            found |= set(zip(_METRICS.findall(cm), _IMPERIALS.findall(inch), strict=True))
    return found


def joined(html: str) -> str:
    """The text with what is set as a fraction kept beside its number."""
    tree = html5lib.parse(html, namespaceHTMLElements=False)
    return "".join(tree.find("body").itertext())


def written(episode: Episode) -> set[tuple[str, str]]:
    """Lengths that are no figures: typed out in both units, and the rules of which hem is advised.

    Nothing else is: the cautions and how a measure is taken tell none in both units.
    """
    sheets = companion_of(evaluate(episode)).other_cloths
    why = " ".join(why for sheet in sheets for why in sheet.hem_why)
    return lengths_of(f"{why} {episode.model_dump_json(exclude={'editions'})}")


@each_episode
@pytest.mark.parametrize("first", ["cm", "in"])
def test_every_length_in_the_sheet_is_a_figure_of_its_edition(episode: Episode, first: str) -> None:
    plan = evaluate(changed(episode, first_unit=first))
    found = lengths_of(joined(companion_html(plan)))
    assert len(found) > 50 or not episode.garments
    assert found - kept_in(edition_now(plan)) - written(episode) == set()


@pytest.mark.parametrize("size", ["XS", "XL"])
def test_every_length_in_the_sheet_of_another_size_is_a_figure_of_the_edition(size: str) -> None:
    """But for what is told for the body on camera alone: notions, other cloths, the lay drawn."""
    plan = evaluate(EPISODES[SMOCK])
    edition = edition_now(plan)
    other = evaluate(in_size(plan.episode, size))
    bodily = [f for f in edition_now(other).figures if f.by == "body"]
    known = kept_in(edition) | kept_in(Edition(number=1, figures=tuple(bodily)))
    assert lengths_of(joined(companion_html(other))) - known - written(plan.episode) == set()


def test_a_length_that_is_forgotten_is_found() -> None:
    """The check itself can fail."""
    edition = edition_now(evaluate(EPISODES[SKIRT]))
    less = edition.model_copy(
        update={"figures": tuple(f for f in edition.figures if "elastic" not in f.what.lower())}
    )
    found = lengths_of(joined(companion_html(evaluate(EPISODES[SKIRT]))))
    assert found - kept_in(less)


def test_every_figure_of_an_edition_is_what_its_pdf_said() -> None:
    """What is told in words is looked for without its spaces: lines break anywhere.

    An edition says how a half is drawn, on the fold; the sheet, how this lay gives it whole.
    """
    plan = evaluate(EPISODES[SKIRT])
    text = words_of(companion_pdf(plan))
    said = lengths_of(text)
    text = "".join(text.split())
    assert text.count("Cut1,turnedoverforitsotherhalf") >= 2
    for laid in (",turnedoverforitsotherhalf", "turnedoveralongit"):
        text = text.replace(laid, "onthefold")
    (edition,) = with_edition(plan, DAY).editions
    body = edition.sizes[0]
    for figure in edition.figures:
        at = 0 if figure.by != "size" else edition.sizes.index(body)
        for cm, inch in zip(figure.cm[at : at + 1], figure.inch[at : at + 1], strict=False):
            told = {*zip(_METRICS.findall(cm), _IMPERIALS.findall(inch), strict=True)}
            assert told <= said, figure.what
        if not figure.inch and " %" not in figure.cm[0]:
            assert "".join(figure.cm[0].split()).lower() in text.lower(), figure.what


def test_the_sheet_says_which_edition_it_is_and_what_changed() -> None:
    first = with_edition(evaluate(TWO_SIZES), DAY)
    plan = evaluate(with_choice(first, "lighthouse-smock", "smock length", "74 cm"))
    html = joined(companion_html(plan))
    assert "Draft of edition 2" in html and "Changed since edition 1" in html
    assert re.search(r"Front length\s*72 cm \(28 3/8 in\)\s*74 cm \(29 1/8 in\)", html)
    assert "given for Wren, the size of this sheet" in html


def test_the_first_edition_tells_no_changes() -> None:
    plan = evaluate(with_edition(evaluate(TWO_SIZES), DAY))
    html = joined(companion_html(plan))
    assert "Edition 1, 12 January 2027" in html
    assert "Changed since" not in html
    assert companion_html(plan) == companion_html(evaluate(plan.episode))


def test_a_sheet_of_another_size_is_of_the_same_edition() -> None:
    first = with_edition(evaluate(TWO_SIZES), DAY)
    episode = with_choice(first, "lighthouse-smock", "smock length", "74 cm")
    state = edition_state(evaluate(episode))
    sheet = companion_of(evaluate(in_size(episode, "XS")), edition=state)
    assert sheet.edition.called == "Draft of edition 2"
    own = next(one for one in sheet.edition.changes if one.what == "Front length")
    assert (own.sizes, own.now) == ((), "74 cm (29 1/8 in)")
    assert sheet.edition.cut_for == "XS"


def test_a_name_that_is_markup_is_text_in_what_changed() -> None:
    def told(amount: str) -> tuple[Notion, ...]:
        return (Notion(name="<b>Tape</b>", amount=amount),)

    first = with_edition(evaluate(changed(EPISODES[SMOCK], notions=told("One"))), DAY)
    html = companion_html(evaluate(changed(first, notions=told("<i>Two</i>"))))
    assert "&lt;b&gt;Tape&lt;/b&gt;, how much" in html
    assert "<b>Tape" not in html and "<i>Two" not in html
