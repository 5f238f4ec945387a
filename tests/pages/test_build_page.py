"""The build order page: a new step is given its work, and stands after what it waits on."""

import re

import pytest
from starlette.testclient import TestClient

from webapp.build.work_time import minutes, step_parts, total
from webapp.draft.construction import EdgeUse, Step, Work
from webapp.filming.shots import Filmed, Shot
from webapp.pages.build_order import BuildView
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.filming_total import filming_total

GARMENT = "lighthouse-smock"
IN_PART = {"HX-Request": "true"}
FILMING_PAGES = ("build", "shots", "rates")


@pytest.fixture
def steps(smock: str) -> str:
    """The address of the steps."""
    return f"/episodes/{smock}/build/steps"


def _listed(house: House, episode: str, garment: int = 0) -> list[str]:
    return [step.id for step in house.store.get(episode).garments[garment].steps]


def _step(house: House, episode: str, step: str) -> Step:
    return next(plan.step for plan in house.plan(episode).steps if plan.step.id == step)


@pytest.fixture
def yoke(client: TestClient, smock: str, steps: str, house: House) -> str:
    """A new piece that is laid on the cloth, and a new step; gives the step's id."""
    pieces = f"/episodes/{smock}/draft/{GARMENT}/pieces"
    rectangle = {"kind": "rectangle", "width": "30 cm", "length": "20 cm", "edges": ""}
    client.post(pieces, data={"name": "Yoke"})
    client.post(f"{pieces}/Yoke/moves", data=rectangle)
    client.post(steps, data={"name": "Cut the yoke", "garment": GARMENT})
    return _listed(house, smock)[-1]


def _threads(house: House, episode: str) -> list[str]:
    return [thread.sentence for thread in house.plan(episode).loose_threads]


def test_a_new_step_opens_with_its_form(client: TestClient, steps: str) -> None:
    answer = client.post(steps, data={"name": "Sew a label in", "garment": GARMENT})
    assert answer.status_code == 303
    assert answer.headers["location"].endswith("/build?edit=sew-a-label-in#step-sew-a-label-in")
    view = client.get(answer.headers["location"]).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, BuildView)
    assert view.editing == "sew-a-label-in"
    assert view.work_on is not None
    assert "Front" in view.work_on.pieces
    assert "shoulder seams" in view.work_on.seams
    assert "Front.hem" in view.work_on.edges


def test_a_step_that_works_on_a_piece_ties_up_its_loose_thread(
    client: TestClient, smock: str, steps: str, house: House, yoke: str
) -> None:
    loose = "Yoke is laid on the cloth, but no step works on it."
    assert loose in _threads(house, smock)
    sent = {"kind": "cut", "piece Yoke": "yes", "tool": "rotary cutter"}
    page = client.post(f"{steps}/{yoke}/work", data=sent, headers=IN_PART)
    assert "Cut out (rotary cutter): Yoke" in page.text
    assert loose not in _threads(house, smock)
    step = _step(house, smock, yoke)
    assert step.work == (Work(kind="cut", pieces=("Yoke",), tool="rotary cutter"),)
    plan = house.plan(smock)
    row = next(row for row in plan.steps if row.step.id == yoke)
    assert row.work.likely > 0
    by_the_rates = [part.table for part in step_parts(step, plan.drafts, plan.rates)]
    assert [part.table for part in row.parts] == by_the_rates


def test_work_of_one_kind_is_gathered_and_taken_out(
    client: TestClient, smock: str, steps: str, house: House, yoke: str
) -> None:
    address = f"{steps}/{yoke}/work"
    client.post(address, data={"kind": "press", "piece Yoke": "yes", "piece Back": "yes"})
    client.post(address, data={"kind": "press", "piece Yoke": "yes", "seam neck seam": "yes"})
    client.post(address, data={"kind": "press", "edge": "Front.hem", "times": "2"})
    client.post(address, data={"kind": "press", "edge": "Front.hem", "times": "4"})
    client.post(address, data={"kind": "hand", "edge": "Yoke.top", "stitch": "slip stitch"})
    client.post(address, data={"kind": "try on"})
    assert _step(house, smock, yoke).work == (
        Work(
            kind="press",
            pieces=("Back", "Yoke"),
            seams=("neck seam",),
            edges=(EdgeUse(edge="Front.hem", times=4),),
        ),
        Work(kind="hand", edges=(EdgeUse(edge="Yoke.top"),), stitch="slip stitch"),
        Work(kind="try on"),
    )
    page = client.get(f"/episodes/{smock}/build?edit={yoke}").text
    assert "Press: Back, Yoke, neck seam, 4 × Front.hem" in page
    client.post(f"{address}/0/delete")
    assert [work.kind for work in _step(house, smock, yoke).work] == ["hand", "try on"]


def test_minutes_by_hand_stand_beside_the_work(
    client: TestClient, smock: str, steps: str, house: House, yoke: str
) -> None:
    client.post(f"{steps}/{yoke}", data={"low": "5", "likely": "6", "high": "9"})
    client.post(f"{steps}/{yoke}/work", data={"kind": "cut", "piece Yoke": "yes"})
    view = client.get(f"/episodes/{smock}/build?edit={yoke}").context["view"]  # type: ignore[attr-defined]
    assert [words for _, words in view.work_on.done] == ["Cut out (scissors): Yoke"]
    assert view.typed_minutes(_step(house, smock, yoke)).likely == 6


@pytest.mark.parametrize(
    ("sent", "field", "sentence"),
    [
        ({"kind": "cut", "piece Yoke": "no"}, "on", "Tick the piece or the seam"),
        ({"kind": "cut", "seam shoulder seams": "yes"}, "on", "A seam is sewn, not cut out"),
        (
            {"kind": "draw", "seam neck seam": "yes", "piece Yoke": "yes"},
            "on",
            "A seam is sewn, not drawn",
        ),
        ({"kind": "fly"}, "kind", "Choose one of the answers"),
        ({"kind": "cut", "edge": "Moon.hem"}, "edge", "Choose one of the answers"),
        ({"kind": "cut", "edge": "Front.hem", "times": "0"}, "times", "from 1 to 100"),
        ({}, "kind", "Write something"),
    ],
)
def test_work_that_cannot_be_is_told_beside_its_field(
    client: TestClient,
    smock: str,
    steps: str,
    house: House,
    yoke: str,
    sent: dict[str, str],
    field: str,
    sentence: str,
) -> None:
    answer = client.post(f"{steps}/{yoke}/work", data=sent, headers=IN_PART)
    assert answer.status_code == 422
    assert sentence in answer.text
    view = answer.context["view"]  # type: ignore[attr-defined]
    assert field in view.work_answers.errors
    assert not _step(house, smock, yoke).work


def test_what_was_ticked_is_kept_beside_an_error(client: TestClient, steps: str, yoke: str) -> None:
    sent = {"kind": "machine", "piece Back": "yes", "edge": "Front.hem", "times": "many"}
    text = client.post(f"{steps}/{yoke}/work", data=sent, headers=IN_PART).text
    assert text.count("checked") == 1
    assert 'value="many"' in text
    assert '<option value="Front.hem" selected>' in text


@pytest.mark.parametrize("act", ["work", "work/0/delete"])
def test_the_work_of_a_step_that_is_gone_is_told(client: TestClient, steps: str, act: str) -> None:
    answer = client.post(f"{steps}/nothing/{act}", data={"kind": "try on"}, headers=IN_PART)
    assert answer.status_code in (404, 422)


# --- The order that the ties ask for ---------------------------------------------------------


def test_a_step_moves_right_after_the_last_one_it_must_come_after(
    client: TestClient, smock: str, steps: str, house: House
) -> None:
    before = _listed(house, smock)
    first, last = before[1], before[-3]
    tied = {step.id for step in house.store.get(smock).garments[0].steps if first in step.after}
    for step in tied:  # nothing else waits on it, so that only this step moves
        client.post(f"{steps}/{step}", data={"after": [""]})
    client.post(f"{steps}/{first}", data={"after": ["", last]})
    after = _listed(house, smock)
    assert after.index(first) == after.index(last) + 1
    assert [step for step in after if step != first] == [step for step in before if step != first]
    shown = [plan.step.id for plan in house.plan(smock).steps]
    assert [step for step in shown if step in after] == after
    # It can be moved on from there, and not back before what it waits on.
    assert client.post(f"{steps}/{first}/later", headers=IN_PART).status_code == 200
    assert client.post(f"{steps}/{first}/earlier", headers=IN_PART).status_code == 200
    assert client.post(f"{steps}/{first}/earlier", headers=IN_PART).status_code == 422


def test_what_waits_on_a_step_that_moves_moves_with_it(
    client: TestClient, smock: str, steps: str, house: House
) -> None:
    client.post(steps, data={"name": "Buy the thread", "garment": GARMENT})
    new = _listed(house, smock)[-1]
    first = _listed(house, smock)[0]
    client.post(f"{steps}/{first}", data={"after": ["", new]})
    listed = _listed(house, smock)
    order = {step: place for place, step in enumerate(listed)}
    for step in house.store.get(smock).garments[0].steps:
        assert all(order[other] < order[step.id] for other in step.after if other in order)
    assert not house.plan(smock).order_problem


# --- What the minutes are made of ------------------------------------------------------------


def test_a_steps_minutes_open_into_kinds_of_work_that_link_to_their_rates(
    client: TestClient, steps: str, yoke: str
) -> None:
    """Two works of a kind are one line, typed minutes one of their own; the whole is as shown."""
    work = {"kind": "machine", "piece Yoke": "yes"}
    for sent in (work, work, work | {"kind": "try on", "piece Yoke": "no"}):
        client.post(f"{steps}/{yoke}/work", data=sent)
    client.post(f"{steps}/{yoke}", data={"low": "3", "likely": "5", "high": "9"})
    here = steps.removesuffix("/steps")
    answer = client.get(here)
    view = answer.context["view"]
    row = view.by_id[yoke]
    assert [(one.words, one.rates) for one in row.kinds] == [
        ("Sewing by machine", "machine"), ("Trying on", "try-on"), ("Other work", ""),
    ]  # fmt: skip
    whole = total([one.shown for one in row.kinds])
    assert whole.mean == pytest.approx(row.plan.work.mean)
    assert (row.kinds[2].shown.low, row.kinds[2].shown.high) == (3, 9)
    rates = client.get(here.replace("/build", "/rates")).text
    for one in {one.rates for row in view.rows for one in row.kinds} - {""}:
        assert f'rates#{one}"' in answer.text
        assert f'id="{one}"' in rates
    assert "Other work, typed by hand: 5 min (3 min to 9 min)" in answer.text


def test_where_minutes_are_added_their_sum_is_told_to_be_a_little_more(
    client: TestClient, steps: str, yoke: str
) -> None:
    """Not of typed minutes alone, nor of trying on alone; of both, and of what is handled too."""
    told = "Added up, likely is a little more than the rates’ likely minutes"

    def says() -> bool:
        text = client.get(steps.removesuffix("/steps")).text
        return told in text.split(f'id="kinds-{yoke}"')[1].split("</details>")[0]

    client.post(f"{steps}/{yoke}/work", data={"kind": "try on", "piece Yoke": "no"})
    assert not says()
    client.post(f"{steps}/{yoke}", data={"low": "3", "likely": "5", "high": "9"})
    assert says()
    client.post(f"{steps}/{yoke}/work", data={"kind": "machine", "piece Yoke": "yes"})
    assert says()


def test_the_work_tells_what_its_steps_add_up_to(
    client: TestClient, smock: str, house: House
) -> None:
    likely = [row.work.likely for row in house.plan(smock).steps]
    assert minutes(sum(likely)) != minutes(house.plan(smock).work.likely)
    text = client.get(f"/episodes/{smock}/build").text
    assert f"; the steps’ likely times add up to {minutes(sum(likely))}<" in text


def test_what_filming_adds_is_that_of_the_steps_and_of_the_shots_of_no_step(
    client: TestClient, smock: str, house: House
) -> None:
    view = client.get(f"/episodes/{smock}/build").context["view"]
    of_steps = [row.plan.filming for row in view.rows]
    assert total([*of_steps, view.of_no_step.filming]).mean == pytest.approx(
        view.filming.listed.minutes.mean
    )
    of_no_step = [one for one in house.plan(smock).shots if not one.shot.step]
    assert view.of_no_step.shots == tuple(one.number for one in of_no_step)
    assert view.of_no_step.kinds == ("talking", "styling", "cutaways")
    assert "There is no shot yet" not in client.get(f"/episodes/{smock}/build").text
    house.store.change(smock, "no shots", lambda e: changed(e, shots=(), shoot_days=()))
    answer = client.get(f"/episodes/{smock}/build")
    assert answer.context["view"].of_no_step is None
    assert "There is no shot yet, so filming adds nothing so far." in answer.text
    assert _filming_told(client, f"/episodes/{smock}/rates") == "nothing yet"


def test_pages_tell_one_filming_time_by_the_days_and_one_as_listed(
    client: TestClient, smock: str, house: House
) -> None:
    """The same words on build order, shots and rates; without days only the list's."""
    told = {page: _filming_told(client, f"/episodes/{smock}/{page}") for page in FILMING_PAGES}
    found = filming_total(house.plan(smock))
    assert found.by_day is not None
    by_day, listed = (minutes(one.minutes.likely) for one in (found.by_day, found.listed))
    words = f"{by_day} in the order of your days; {listed} in the order of the list"
    assert [text.startswith(words) for text in told.values()] == [True] * 3
    house.store.change(smock, "no days", lambda e: changed(e, shoot_days=(), planned_days=None))
    told = {page: _filming_told(client, f"/episodes/{smock}/{page}") for page in FILMING_PAGES}
    words = f"{listed} in the order of the list"
    assert [text.startswith(words) for text in told.values()] == [True] * 3


def test_days_that_have_what_is_left_to_film_say_so(
    client: TestClient, smock: str, house: House
) -> None:
    house.store.change(smock, "filmed", lambda e: changed(e, shots=_first_filmed(e.shots)))
    told = _filming_told(client, f"/episodes/{smock}/shots")
    count = len(house.plan(smock).shots)
    assert f"in the order of your days, for the {count - 1} shots still to film; " in told
    assert f" for all {count} in the order of the list" in told
    ready = client.get(f"/episodes/{smock}/set-ups").text
    assert "shoot days go, with 1 shot that is filmed already." in ready


def _first_filmed(shots: tuple[Shot, ...]) -> tuple[Shot, ...]:
    return (changed(shots[0], filmed=Filmed()), *shots[1:])


def _filming_told(client: TestClient, page: str) -> str:
    """What a page says that filming adds in all, without a range."""
    fact = re.search(
        r"(?:F|f)ilming adds[^<]*</dt><dd>(.*?)</dd>", client.get(page).text, re.DOTALL
    )
    assert fact is not None
    ranges = r"<[^>]*>|\([^)]* to [^)]*\)|usually [\d hmin]+ to [\d hmin]+ (?=in|for)"
    plain = re.sub(ranges, "", fact[1])
    return " ".join(plain.split())


# --- The line of a step, while it is closed ---------------------------------------------------


def _line(client: TestClient, episode: str, step: str) -> str:
    """What is seen of a step before it is opened."""
    text = client.get(f"/episodes/{episode}/build").text
    return text.split(f'id="opened-{step}"')[1].split("</summary>")[0]


def test_what_is_to_be_mended_stands_on_the_closed_line(
    client: TestClient, smock: str, steps: str
) -> None:
    assert "to mend" not in _line(client, smock, "chalk")
    client.post(steps, data={"name": "Sew a label in", "garment": GARMENT})
    line = _line(client, smock, "sew-a-label-in")
    assert "to mend" in line
    assert "no time yet" in line


def test_the_tape_shows_what_a_step_took(client: TestClient, smock: str, steps: str) -> None:
    """The pin stands at 30 minutes, and the tape is long enough for it."""
    assert "pin-head" not in _line(client, smock, "staystitch")
    times = steps.replace("/build/steps", "/times")
    client.post(times, data={"time": "step:staystitch", "minutes": "30", "day": "2026-11-20"})
    page = client.get(steps.removesuffix("/steps"))
    view = page.context["view"]
    assert view.by_id["staystitch"].taken == 30
    assert f'cx="{view.scale.at(30):.1f}"' in _line(client, smock, "staystitch")
    assert "You took 30 min." in page.text
