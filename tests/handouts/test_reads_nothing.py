"""Whatever is typed in a plan, its sheets are printed from our own files and link nowhere."""

import json
import socket
import sys
import tempfile
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from tests.handouts.hostile_texts import asking, hostile_episode, text_fields
from tests.handouts.read_pages import words_of
from webapp.handouts import printing
from webapp.handouts.pack import EXPORTS, Plans
from webapp.handouts.printing import BASE_URL, own_file
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.settings import files_dir

pytestmark = pytest.mark.usefixtures("printed_anew")

_SEEN: list[tuple[str, str]] = []
_watching = False


def _noted(event: str, arguments: tuple[Any, ...]) -> None:
    if _watching and event in ("open", "socket.connect", "socket.getaddrinfo"):
        _SEEN.append((event, repr(arguments)))


sys.addaudithook(_noted)  # for good: Python takes none away


@pytest.fixture(scope="module")
def listener() -> Iterator[socket.socket]:
    """What would hear of any connection."""
    with socket.create_server(("127.0.0.1", 0)) as found:
        found.setblocking(False)
        yield found


@pytest.fixture(scope="module")
def secret() -> Iterator[Path]:
    """A sheet, by name and content, that nobody may read; its address is short."""
    with tempfile.NamedTemporaryFile(suffix=".css", prefix="canary", dir="/tmp") as file:
        file.write(b'p::before, text::before { content: "the secret" }')
        file.flush()
        yield Path(file.name)


@pytest.fixture(scope="module")
def hostile(listener: socket.socket, secret: Path) -> Plans:
    texts = asking(str(secret), listener.getsockname()[1])
    episode, fields = hostile_episode(_whole(), texts)
    assert text_fields() - fields == _NEVER_TYPED
    choices = changed(episode.print_choices, roll_width="")  # a length: refused in words
    plans = Plans.of(changed(episode, print_choices=choices))
    assert not [one.problems for one in plans.filmed.drafts if one.problems]
    return plans


# Fingerprints, and lays that are used only while theirs fits.
_NEVER_TYPED = {
    "DaysAsPlanned.hours_key", "DaysAsPlanned.minutes_key", "DaysAsPlanned.shots_key",
    "DaysAsPlanned.steps_key", "KeptLay.cloth", "KeptPlacement.name", "KindShare.rates",
    "Way.how", "Way.name",
}  # fmt: skip


def _whole() -> Episode:
    """The smock, less of what there is many of, and something of everything that may be typed."""
    file = files_dir("demo_data") / "episode-3-lighthouse-smock.json"
    plan = json.loads(file.read_text("utf-8"))
    figure = {"name": "Front.hem", "cm": "1 cm", "inch": "1 in"}
    plan |= {
        "sizes": plan["sizes"][:1], "other_cloths": plan["other_cloths"][:1],
        "garments": plan["garments"][:1], "shots": plan["shots"][:4],
        "shoot_days": plan["shoot_days"][:1], "bought": ["x"],
        "revisions": [{"number": 0, "title": "x", "body": plan["body"], "garments": []}],
        "editions": [{"number": 1, "sizes": ["x"], "lays": "x", "figures": [
            {"what": "x", "cm": ["1 cm"], "inch": ["1 in"]}]}],
        "timer": {"item": plan["garments"][0]["steps"][0]["id"], "title": "x"},
        "rates": [{"key": "cut", "low": 1, "likely": 2, "high": 3, "note": "x"}],
        "print_choices": {"sizes": ["x"]},
    }  # fmt: skip
    plan["garments"][0]["steps"] = plan["garments"][0]["steps"][:6]
    plan["notions"], plan["earlier_times"] = plan["notions"][:2], plan["earlier_times"][:1]
    plan["brief"]["sketch"] = {"file": f"{'0' * 64}.png", "alt": "x"}
    plan["shots"][0]["filmed"] = {
        "narration": "x", "card": "x", "corrected": ["x"],
        "said": [figure], "accepted": [{**figure, "note": "x"}],
    }  # fmt: skip
    return Episode.model_validate_json(json.dumps(plan))


# What is printed on Letter is printed as on A4.
_PRINTED = [one for one in EXPORTS if one.endswith(".pdf") and one != "pattern-letter.pdf"]


@pytest.mark.parametrize("name", _PRINTED)
def test_a_printed_sheet_reads_our_files_alone_and_links_nowhere(
    name: str,
    hostile: Plans,
    listener: socket.socket,
    secret: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    global _watching  # noqa: PLW0603 - Python takes no audit hook away
    asked: list[str] = []

    def noted(address: str) -> tuple[bytes, str]:
        asked.append(address)
        return own_file(address)

    monkeypatch.setattr(printing, "own_file", noted)
    _SEEN.clear()
    _watching = True
    try:
        pdf = EXPORTS[name].make(hostile)
    finally:
        _watching = False
    assert isinstance(pdf, bytes)
    assert asked and all(one.startswith(f"{BASE_URL}static/") for one in asked), asked
    assert not [one for one in _SEEN if secret.name in one[1] or "socket" in one[0]]
    with pytest.raises(BlockingIOError):
        listener.accept()
    reader = PdfReader(BytesIO(pdf))
    assert not reader.attachments
    for page in reader.pages:
        for one in page.get("/Annots") or ():
            action = one.get_object().get("/A", {})
            assert action.get("/S") in (None, "/GoTo"), action
    assert "/OpenAction" not in reader.trailer["/Root"]
    text = words_of(pdf)
    assert "the secret" not in text
    assert "127.0.0.1" in text, "none of the texts is on this sheet"


_DRAWN = {
    "svg", "g", "path", "text", "tspan", "title", "desc", "rect", "line", "polygon", "polyline",
    "circle", "style", "defs", "marker", "clipPath",
}  # fmt: skip


@pytest.mark.parametrize("name", ["pieces.svg", "lay.svg"])
def test_a_drawing_asks_for_nothing(name: str, hostile: Plans) -> None:
    drawing = EXPORTS[name].make(hostile)
    assert drawing is not None
    text = drawing if isinstance(drawing, str) else drawing.decode()
    for one in ElementTree.fromstring(text).iter():
        kind = one.tag.rpartition("}")[2]
        assert kind in _DRAWN, kind
        for key, value in one.attrib.items():
            assert not key.endswith("href") and "url(" not in value.replace("url(#", ""), value
        if kind == "style":
            assert "url(" not in (one.text or "") and "@import" not in (one.text or "")


def test_the_watch_sees_what_is_read(secret: Path, listener: socket.socket) -> None:
    global _watching  # noqa: PLW0603
    _SEEN.clear()
    _watching = True
    secret.read_bytes()
    with socket.create_connection(listener.getsockname()):
        pass
    _watching = False
    listener.accept()[0].close()
    assert {event for event, _ in _SEEN} >= {"open", "socket.connect"}
    assert any(secret.name in told for _, told in _SEEN)
