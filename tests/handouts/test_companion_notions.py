"""Notions in every size: a viewer of another size than the one on camera buys enough."""

from tests.handouts.test_companion_draft import EPISODE
from webapp.draft.recipe import Notion
from webapp.handouts.companion import companion_html
from webapp.handouts.companion_notions import notions_to_have
from webapp.handouts.description import description_txt
from webapp.plan.editions import changes_since_last, with_edition
from webapp.plan.edits import changed
from webapp.plan.evaluate import evaluate
from webapp.plan.printed import printed_figures

ELASTIC = Notion(name="Elastic", kind="elastic", length="hip / 2", ends="2.5 cm")
PINS = Notion(name="Pins", amount="Forty")
PLAN = evaluate(changed(EPISODE, notions=(ELASTIC, PINS)))


def test_an_amount_is_told_by_size_where_sizes_differ_and_else_once() -> None:
    elastic, pins = notions_to_have(PLAN)
    # Cut 47.5, 51.5 and 57.5 cm: 0.52, 0.56 and 0.63 yd, up to the next 0.1 m and 1/8 yd.
    assert elastic.by_size == (
        ("S", "0.5 m (5/8 yd)"),
        ("Wren", "0.6 m (5/8 yd)"),
        ("L", "0.6 m (3/4 yd)"),
    )
    assert (pins.amount, pins.by_size) == ("Forty", ())
    assert "<strong>L:</strong>" in companion_html(PLAN)
    assert "  L: 0.6 m (3/4 yd)\n- Pins: Forty" in description_txt(PLAN).decode()


def test_an_edition_keeps_the_amounts_that_differ_by_size() -> None:
    kept = {figure.what: figure for figure in printed_figures(PLAN, with_lays=False)}
    assert kept["Elastic, how much"].by == "size" and kept["Pins, how much"].by == "body"
    sizes = [size.body.name for size in PLAN.sizes]
    assert kept["Elastic, how much"].cm[sizes.index("L")].startswith("0.6 m")


def test_an_edition_of_before_that_told_one_size_alone_stays_what_it_is() -> None:
    numbered = with_edition(PLAN, None)
    (edition,) = numbered.editions
    figures = tuple(
        figure.model_copy(update={"by": "body", "cm": figure.cm[:1], "inch": figure.inch[:1]})
        if figure.what == "Elastic, how much"
        else figure
        for figure in edition.figures
    )
    old = edition.model_copy(update={"figures": figures})
    assert changes_since_last(evaluate(changed(numbered, editions=(old,)))) == ()
    longer = changed(numbered, editions=(old,), notions=(changed(ELASTIC, length="hip"), PINS))
    (change,) = changes_since_last(evaluate(longer))
    assert (change.what, change.sizes) == ("Elastic, how much", ())


def test_figures_of_one_size_say_so_at_their_head() -> None:
    html = companion_html(PLAN)
    words = "Figures here are for size Wren: the worksheet tells how to work out yours."
    sections = [html.split(f'<section id="{place}">')[1] for place in ("pieces-1", "cutting")]
    assert all(words in one.split("</header>")[0] for one in sections)
    assert "Cutting list, size Wren" in html
    alone = companion_html(evaluate(changed(PLAN.episode, sizes=())))
    assert words not in alone and "size Wren" not in alone
