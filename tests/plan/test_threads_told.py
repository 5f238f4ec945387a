"""How loose threads are told: what only waits is none, units, order, the plan file."""

import pytest

from tests.plan.loosened import (
    GARMENT,
    found_by,
    with_seam_that_differs,
    with_shot,
    with_step_changed,
    with_target,
)
from webapp.draft.recipe import Body
from webapp.plan import (
    draft_threads,
    loose_threads,
    text_threads,
)
from webapp.plan.edits import changed, with_choice
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.plan.results import Place

# --- What only waits --------------------------------------------------------------------------


def test_what_waits_for_a_missing_measure_is_no_thread_of_its_own(smock: Episode) -> None:
    """The demo's texts and steps quote the draft all over; only the measures are asked for."""
    threads = evaluate(changed(smock, body=Body(name="Nobody"))).loose_threads
    measures = dict.fromkeys(name for garment in smock.garments for name in garment.measures)
    asked = [thread.sentence for thread in threads if thread.page == "brief"]
    assert len(asked) == len(set(asked))
    for measure in measures:
        assert sum(f"asks for the measure “{measure}”" in sentence for sentence in asked) == 1
    assert [t for t in threads if t.severity == "must" and t.page != "brief"] == []


def test_a_name_that_no_measure_would_mend_is_told_all_the_same(smock: Episode) -> None:
    nobody = changed(smock, body=Body(name="Nobody"))
    shot = with_shot(nobody, narration="{Front.hem} is not {Frontt.hem}, nor {bust} {bsut}.")
    assert [
        t.sentence.split(" quotes ")[1] for t in found_by(loose_threads.missing_figures, shot)
    ] == [
        "{Frontt.hem}, which does not exist.",
        "{bsut}, which does not exist.",
    ]
    work = ({"kind": "cut", "pieces": ("Front", "Cape")}, {"kind": "pin", "seams": ("darts",)})
    (thread,) = found_by(loose_threads.step_times, with_step_changed(nobody, work=work))
    assert "works on the piece “Cape”, which is not drafted" in thread.sentence


@pytest.mark.parametrize(
    "work",
    [
        {"kind": "cut", "pieces": ("front",)},
        {"kind": "machine", "seams": ("shoulder seams",)},
        {"kind": "press", "edges": ({"edge": "Front.hem"},)},
        {"kind": "press", "edges": ({"edge": "Cowl.length"},)},
    ],
)
def test_a_step_waits_for_what_it_works_on(smock: Episode, work: dict[str, object]) -> None:
    nobody = changed(smock, body=Body(name="Nobody"))
    waiting = evaluate(with_step_changed(nobody, work=(work,)))
    step = next(s for s in waiting.steps if s.step.one_way)
    assert step.waits and step.problem == "" and step.work.high == 0
    drafted = evaluate(with_step_changed(smock, work=(work,)))
    assert not any(step.waits for step in drafted.steps)


def test_the_gravest_come_first(smock: Episode) -> None:
    threads = evaluate(
        with_target(with_choice(smock, GARMENT, "body ease", "-10 cm"))
    ).loose_threads
    severities = [thread.severity for thread in threads]
    assert severities == sorted(severities)  # "must" sorts before "should"
    assert set(severities) == {"must", "should"}


def test_the_plan_file_tells_where_a_thread_is_and_what_mends_it(smock: Episode) -> None:
    smock = changed(smock, sizes=())
    episode = with_shot(with_seam_that_differs(smock), card="{Frnt.hem}")
    listed = plan_json(evaluate(episode))["loose_threads"]
    told = {one["page"]: one for one in listed if one["severity"] == "must"}
    seam = {"page": "draft", "garment": GARMENT, "item": "odd seam", "part": "seam"}
    assert told["draft"]["place"] == seam
    assert told["draft"]["mends"][0].startswith("Ease or gather in ")
    shot = told["shots"]
    assert shot["place"] == {"page": "shots", "item": "extra"}
    assert shot["mends"] == ["Write {Front.hem}"]
    assert shot["sentence"].endswith("Did you mean {Front.hem}?")


# --- Pictures and fittings --------------------------------------------------------------------

PHOTO = {"file": f"{'0' * 64}.jpg"}


def test_a_picture_has_words_for_those_who_do_not_see_it(smock: Episode) -> None:
    """WCAG 2.2, success criterion 1.1.1: https://www.w3.org/TR/WCAG22/#non-text-content."""
    fitting = {"id": "first", "title": "First fitting", "photo": PHOTO}
    bare = changed(smock, brief=changed(smock.brief, sketch=PHOTO), fittings=(fitting,))
    found = found_by(text_threads.missing_alternative_text, bare)
    assert [(one.severity, one.page, one.place.item) for one in found] == [
        ("should", "brief", "sketch"),
        ("should", "fittings", "first"),
    ]
    assert found[1].sentence == (
        "The photo of “First fitting” has no words yet for those who do not see it."
    )
    told = {**PHOTO, "alt": "Wren in the smock, from the side"}
    worded = changed(
        smock,
        brief=changed(smock.brief, sketch=told),
        fittings=({**fitting, "photo": told},),
    )
    assert found_by(text_threads.missing_alternative_text, worded) == ()


def test_a_fitting_that_cannot_be_cut_is_told_until_it_can(smock: Episode) -> None:
    def with_neck(value: str) -> Episode:
        change = {"garment": GARMENT, "choice": "neck half width", "value": value}
        fitting = {
            "id": "first",
            "title": "First fitting",
            "changes": ({**change, "kind": "choice"},),
        }
        return changed(smock, fittings=(fitting,))

    (thread,) = found_by(draft_threads.fittings_that_cannot_be_cut, with_neck("90 cm"))
    assert thread.sentence.startswith("The fitting “First fitting” cannot be cut: ")
    assert (thread.severity, thread.place) == ("should", Place("fittings", item="first"))
    assert found_by(draft_threads.fittings_that_cannot_be_cut, with_neck("11 cm")) == ()
