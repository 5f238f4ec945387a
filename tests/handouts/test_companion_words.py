"""What the companion says in words agrees with its figures."""

import re

from webapp.build.work_time import total
from webapp.handouts.companion import companion_html, companion_of
from webapp.handouts.templating import about
from webapp.plan.results import Plan


def _plain(plan: Plan) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", companion_html(plan)).split())


def test_the_time_under_a_garment_is_that_of_its_own_steps(plan: Plan) -> None:
    sheet = companion_of(plan)
    smock, cowl = sheet.runs
    for run in (smock, cowl):
        own = [step.work for step in plan.steps if step.garment == run.heading]
        assert len(own) == len(run.steps)
        assert run.minutes == total(own).likely
    assert smock.minutes + cowl.minutes > smock.minutes > cowl.minutes > 0
    text = _plain(plan)
    for run in (smock, cowl):
        assert f"These steps take {about(run.minutes)} of sewing time." in text
    assert text.count("Breaks and second thoughts are yours to add.") == 1


def test_the_pieces_are_laid_out_as_the_lay_is_drawn(plan: Plan) -> None:
    """One layer; what is drawn on the fold is chalked half by half; no pair in the smock."""
    text = _plain(plan)
    assert "lay it in one layer, right side up." in text
    assert "turn it over along its centre line and chalk around it again: it comes whole." in text
    assert "face down" not in text
