"""The call sheet with all that can be typed: printed whole, nothing over anything else."""

from collections import Counter, defaultdict
from typing import Any

import pypdfium2  # type: ignore[import-untyped]
import pytest

from webapp.filming.figures import single_unit_measurements
from webapp.handouts.call_sheet import call_sheet_of, call_sheet_pdf, first_words
from webapp.handouts.call_sheet_view import ShotEntry
from webapp.plan.edits import changed
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode

_RIGHT_TO_LEFT = "חוט ומחט הולכים לים"
_EMOJI = "🧵🪡✂️ 👩‍🎨🏽"
_FRAME = (12 - 3) / 25.4 * 72  # how near to the edge of the paper a frame may stand


@pytest.fixture(scope="module")
def skirt() -> Plan:
    file = files_dir("demo_data") / "episode-4-market-day-skirt.json"
    return evaluate(read_episode(file.read_bytes()))


@pytest.fixture(scope="module")
def hostile(skirt: Plan) -> Plan:
    """A day of three shots with the longest of all texts."""
    episode, day = skirt.episode, skirt.episode.shoot_days[0]
    typed: dict[str, dict[str, Any]] = {
        day.shots[0]: {"title": "W" * 80, "place": "P" * 80, "note": "x" * 4000, "card": "C" * 200},
        day.shots[1]: {"title": _RIGHT_TO_LEFT, "place": _EMOJI, "narration": "N" * 4000},
        day.shots[2]: {"title": _EMOJI, "note": "knot " * 799 + "knots", "card": _RIGHT_TO_LEFT},
    }
    shots = tuple(changed(shot, **typed.get(shot.id, {})) for shot in episode.shots)
    one_day = changed(day, shots=day.shots[:3], noise=())
    notions = (changed(episode.notions[0], name="Q" * 80, amount="q" * 200), *episode.notions[1:])
    return evaluate(
        changed(
            episode,
            title="Rindfleischetikettierung" * 3,
            shots=shots,
            shoot_days=(one_day,),
            notions=notions,
        )
    )


def test_nothing_is_cut_off_and_nothing_lies_over_anything_else(hostile: Plan) -> None:
    pdf = call_sheet_pdf(hostile, paper="letter")
    assert pdf is not None
    letters: Counter[str] = Counter()
    knots = 0
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        width, height = page.get_size()
        # 8 1/2 by 11 in (ANSI/ASME Y14.1, size A), at 72 points to the inch.
        assert (width, height) == pytest.approx((612, 792), abs=0.3)
        text = page.get_textpage()
        knots += text.get_text_range().count("knot")
        middles: dict[tuple[int, int], list[tuple[float, float]]] = defaultdict(list)
        before = None
        for at in range(text.count_chars()):
            letter = text.get_text_range(at, 1)
            left, bottom, right, top = box = text.get_charbox(at)
            if not letter.isalnum() or right <= left:
                continue
            letters[letter] += 1
            if box == before:  # both letters of a ligature
                continue
            before = box
            assert left >= _FRAME
            assert right <= width - _FRAME
            assert bottom >= 5 / 25.4 * 72
            assert top <= height - 3 / 25.4 * 72
            x, y = (left + right) / 2, (bottom + top) / 2
            near = [(int(x // 9) + dx, int(y // 9) + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)]
            for other in (one for cell in near for one in middles.get(cell, ())):
                # Two letters over each other have their middles in nearly one place.
                assert abs(other[0] - x) > 1.4 or abs(other[1] - y) > 2, letter
            middles[int(x // 9), int(y // 9)].append((x, y))
    assert letters["x"] >= 4000
    assert knots >= 800
    assert letters["W"] >= 80
    assert letters["q"] >= 200
    assert letters["N"] < 200  # only the first of what is spoken
    assert letters["ח"] >= 4  # twice each in the title and on the card


def test_the_first_words_are_whole_and_lengths_keep_both_units() -> None:
    assert first_words("Cut  along\nthe line.") == "Cut along the line."
    long = "The neck is cut out to a mere 12.5 cm (4 15/16 in) from the centre line, no more."
    for most in range(20, len(long)):
        cut = first_words(long, most)
        assert long.startswith(cut)
        assert len(cut) <= most
        assert single_unit_measurements(cut) == ()
        assert cut.split()[-1] in long.replace(",", "").split()
    assert first_words(long, 55) == "The neck is cut out to a mere 12.5 cm (4 15/16 in) from"
    assert first_words(long, 40) == "The neck is cut out to a mere"


def test_a_sign_of_several_parts_is_not_divided() -> None:
    # One person made of four code points (Unicode Technical Standard 51: ZWJ sequences).
    artist = "👩\u200d🎨"
    for most in range(1, 9):
        assert not first_words(artist * 9, most).startswith("\u200d")
        assert not first_words(artist * 9, most).endswith("\u200d")


def test_what_is_recorded_later_has_no_first_words(skirt: Plan) -> None:
    shots = {shot.number: shot for shot in skirt.shots}
    entries = [
        one
        for day in call_sheet_of(skirt).days
        for one in day.entries
        if isinstance(one, ShotEntry)
    ]
    on_camera = {n for n, row in shots.items() if row.shot.pace == "real time"}
    spoken = {n for n, row in shots.items() if row.narration.plain}
    assert {one.number for one in entries if one.says} == on_camera & spoken != spoken
    assert all(
        " ".join(shots[one.number].narration.plain.split()).startswith(one.says) for one in entries
    )
