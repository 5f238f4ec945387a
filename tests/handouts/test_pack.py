"""Every file of an episode: in a folder, in a zip, and as the manifest tells them."""

import csv
import hashlib
import io
import json
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from tests.demo_documents import BRIEF, EPISODES, SMOCK
from tests.specimens import RECTANGLE, WREN
from webapp.cli import main
from webapp.draft.recipe import Notion
from webapp.errors import PdfToolsMissingError
from webapp.filming.figures import single_unit_measurements
from webapp.filming.shots import Shot
from webapp.handouts import printing
from webapp.handouts.file_names import slug
from webapp.handouts.manifest import Made
from webapp.handouts.pack import EXPORTS, Plans, exports_of, pack, zipped
from webapp.plan.edits import changed
from webapp.plan.episode import FILE_VERSION, Brief, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.print_choices import PrintChoices

SVG = "{http://www.w3.org/2000/svg}"
TAGS = ("title", "desc", "text")


def _missing() -> None:
    raise PdfToolsMissingError("Not here.")


@pytest.fixture
def no_pdf(monkeypatch: pytest.MonkeyPatch) -> None:
    """Printing takes too long where it is not looked at."""
    monkeypatch.setattr(printing, "_weasyprint", _missing)


def laid() -> Episode:
    """The smock without other cloths: the pieces are not laid on them."""
    return changed(EPISODES[SMOCK], other_cloths=())


@pytest.fixture(scope="module")
def rendered(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Every file of the smock that is not printed, by the command."""
    folder, file = tmp_path_factory.mktemp("smock"), tmp_path_factory.mktemp("file") / "smock.json"
    file.write_text(laid().model_dump_json())
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(printing, "_weasyprint", _missing)
        assert main(["render", str(file), "--out", str(folder)]) == 1
    return folder


@pytest.fixture(scope="module")
def listed(rendered: Path) -> dict[str, Any]:
    """Its manifest."""
    told: dict[str, Any] = json.loads((rendered / "manifest.json").read_bytes())
    return told


def small() -> Episode:
    """An episode with something for every file, and no more than that."""
    garments = [
        {
            "id": name,
            "name": name.capitalize(),
            "seam_allowance": "1.5 cm",
            "pieces": [{"name": f"{name.capitalize()} panel", "moves": [RECTANGLE]}],
            "steps": [{"id": f"cut-{name}", "name": "Cut", "words": "Cut it."}],
        }
        for name in ("bag", "purse")
    ]
    shots = [
        {
            "id": f"{name}-{at}",
            "title": f"Shot {at}",
            "step": f"cut-{name}",
            "chapter": f"Chapter {at}",
            "narration": "Cut along the chalk.",
            "card": "Cut",
        }
        for name in ("bag", "purse")
        for at in (1, 2)
    ]
    return Episode.model_validate(
        {
            "id": "small",
            "title": "Small",
            "body": WREN,
            "garments": garments,
            "shots": shots,
            "shoot_days": [{"day": "2026-06-01", "shots": [one["id"] for one in shots]}],
        }
    )


def test_every_file_is_made(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "small.json").write_text(small().model_dump_json())
    assert main(["render", str(tmp_path / "small.json"), "--out", str(tmp_path / "out")]) == 0
    made = {file.name: file.read_bytes() for file in (tmp_path / "out").iterdir()}
    assert made.keys() == {*EXPORTS, "manifest.json"} == {*capsys.readouterr().out.split()}
    assert all(content.startswith(b"%PDF-") for name, content in made.items() if ".pdf" in name)
    assert {one.name: one.content for one in pack(small()).files} == made  # a second time


def test_what_has_nothing_in_it_is_not_made(rendered: Path) -> None:
    wanted = {name for name in EXPORTS if not name.endswith(".pdf")} - {"extra-chapters.vtt"}
    names = {file.name for file in rendered.iterdir()}
    assert names == {*wanted, "lay-2-binding-cloth.svg", "manifest.json"}


def test_the_manifest_tells_every_file_and_its_hash(rendered: Path, listed: dict[str, Any]) -> None:
    files = {one["name"]: one for one in listed["files"]}
    assert files.keys() == {file.name for file in rendered.iterdir()} - {"manifest.json"}
    for name, told in files.items():
        content = (rendered / name).read_bytes()
        assert told["bytes"] == len(content)
        assert told["sha256"] == hashlib.sha256(content).hexdigest()
        assert told["what"].endswith(".")


def test_the_manifest_tells_what_they_were_made_from(listed: dict[str, Any]) -> None:
    episode = EPISODES[SMOCK]
    assert (listed["episode"], listed["title"]) == (episode.id, episode.title)
    assert listed["file_version"] == FILE_VERSION == episode.version
    assert listed["edition"] == {"number": 1, "draft": True, "called": "Draft of edition 1"}
    assert listed["choices"]["paper"] == "a4"
    assert listed["choices"]["sizes"] == ["Wren", "XS", "S", "M", "L", "XL"]
    assert listed["notes"] == []


def test_no_file_tells_a_length_in_one_unit(rendered: Path) -> None:
    texts = {
        file.name: file.read_text("utf-8")
        for file in rendered.iterdir()
        if file.suffix in (".vtt", ".txt", ".ics")
    }
    for file in rendered.glob("*.svg"):
        labels = ElementTree.fromstring(file.read_bytes()).itertext()
        texts[file.name] = "\n".join(label for label in labels if label.strip())
    for file in rendered.glob("*.csv"):  # a comma between cells is no sign of a number
        with file.open(encoding="utf-8-sig", newline="") as table:
            texts[file.name] = "\n".join(cell for row in csv.reader(table) for cell in row)
    assert len(texts) >= 10
    assert {name: single_unit_measurements(text) for name, text in texts.items()} == (
        dict.fromkeys(texts, ())
    )


def test_the_drawn_pieces_are_true_to_scale(rendered: Path) -> None:
    root = ElementTree.fromstring((rendered / "pieces.svg").read_bytes())
    _, _, width, height = root.attrib["viewBox"].split()
    # SVG 1.1 §7.8: with equal viewBox and viewport sizes a user unit is the unit of the viewport.
    assert root.attrib["width"] == f"{width}mm"
    assert root.attrib["height"] == f"{height}mm"


def test_every_lay_is_drawn_on_its_own_cloth(rendered: Path) -> None:
    titles = [(rendered / name).read_text() for name in ("lay.svg", "lay-2-binding-cloth.svg")]
    assert ["Main cloth" in titles[0], "Binding cloth" in titles[1]] == [True, True]


def test_the_description_tells_cloth_by_width_and_size(rendered: Path) -> None:
    text = (rendered / "description.txt").read_text("utf-8")
    lays = json.loads((rendered / "plan.json").read_bytes())["sizes"]
    (small,) = (one["buy"]["Main cloth"] for one in lays if one["name"] == "XS")
    assert f"XS, S, Wren: {small['metres']} ({small['yards']})" in text
    assert "115 cm (45 in) wide: XS: " in text
    assert "; S, Wren, M, L, XL: " in text


# --- The zip ---------------------------------------------------------------------------------


@pytest.mark.usefixtures("no_pdf")
def test_the_zip_holds_the_files_of_the_folder_in_the_manifests_order(rendered: Path) -> None:
    heard: list[str] = []
    content = zipped(pack(laid(), heard.append).files, slug(laid()))
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        assert archive.testzip() is None
        entries = archive.infolist()
        (folder,) = {name.partition("/")[0] for name in archive.namelist()}
        assert folder == slug(laid())
        told = json.loads(archive.read(f"{folder}/manifest.json"))
        for name in archive.namelist():  # made a second time, they are the same
            assert archive.read(name) == (rendered / name.partition("/")[2]).read_bytes()
    assert [one.filename for one in entries] == (
        [f"{folder}/{name}" for name in (*(one["name"] for one in told["files"]), "manifest.json")]
    )
    assert {one.date_time for one in entries} == {(1980, 1, 1, 0, 0, 0)}
    assert heard[0].endswith(": the companion")
    counts = [line.split(": ")[0] for line in heard]
    assert counts == [f"{at} of {len(heard)}" for at in range(1, len(heard) + 1)]
    assert len(heard) == len(EXPORTS) + 1  # and the second lay


def test_a_zip_is_the_same_wherever_and_whenever_it_is_made(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    files = (Made("a.txt", "A.", b"a"), Made("b.txt", "B.", b"b" * 999))
    once = zipped(files, "smock")
    monkeypatch.setattr(zipfile.sys, "platform", "win32")  # type: ignore[attr-defined]
    assert zipped(files, "smock") == once


# --- Which plan a file is of -----------------------------------------------------------------


@pytest.mark.usefixtures("no_pdf")
def test_what_is_chosen_for_the_sheets_changes_those_of_viewers_alone() -> None:
    chosen = PrintChoices(drawn_for="XL", first_unit="in")
    episode = changed(laid(), sizes=laid().sizes[-1:])
    plain = {one.name: one.content for one in pack(episode).files}
    other = pack(changed(episode, print_choices=chosen))
    printed = {one.name: one.content for one in other.files}
    ours = {
        "shots.csv", "captions.vtt", "cards.vtt", "chapters.vtt", "extra-captions.vtt",
        "extra-cards.vtt", "shopping.csv", "plan.json",
    }  # fmt: skip
    assert {name for name, content in plain.items() if printed[name] == content} >= ours
    for name in ("pieces.svg", "pieces.dxf", "lay.svg", "description.txt"):
        assert printed[name] != plain[name]
    told = json.loads(printed["manifest.json"])["choices"]
    assert (told["drawn_for"], told["first_unit"], told["paper"]) == ("XL", "in", "letter")
    assert "59 in (150 cm) wide" in printed["description.txt"].decode()


def test_only_what_there_is_of_an_episode_is_made() -> None:
    made = pack(EPISODES[BRIEF])
    texts = ("shoot-days.ics", "description.txt", "plan.json", "manifest.json")
    assert made.names == ("companion.pdf", *texts)
    assert pack(EPISODES[BRIEF]) == made


@pytest.mark.parametrize(
    ("cloth", "name"),
    [
        ("../Leinen für <Hälse>/\\", "lay-2-leinen-fur-halse.svg"),
        ("布", "lay-2.svg"),
        ("x" * 80, f"lay-2-{'x' * 40}.svg"),
    ],
)
def test_a_further_lay_is_named_so_that_any_system_keeps_it(cloth: str, name: str) -> None:
    text = EPISODES[SMOCK].model_dump_json().replace('"Binding cloth"', json.dumps(cloth))
    plan = evaluate(Episode.model_validate_json(text))
    names = [one for one, _ in exports_of(Plans(plan, plan)) if one.startswith("lay")]
    assert names == ["lay.svg", name]


# --- What should be known of them ------------------------------------------------------------


@pytest.mark.usefixtures("no_pdf")
def test_chapters_that_the_description_leaves_out_are_told() -> None:
    shots = tuple(Shot(id=name, title=name, chapter=name) for name in ("one", "two"))
    made = pack(Episode(id="e", title="E", shots=shots))
    assert made.notes == ("description.txt leaves the chapters out. There are fewer than 3.",)
    assert "chapters.vtt" in made.names  # players take them
    assert json.loads(made.files[-1].content)["notes"] == list(made.notes)


@pytest.mark.usefixtures("no_pdf")
def test_captions_of_words_that_were_not_kept_are_told() -> None:
    said = [{"id": "a", "title": "A", "narration": "Cut.", "filmed": {"day": "2026-06-01"}}]
    episode = Episode.model_validate({"id": "e", "title": "E", "shots": said})
    (note,) = pack(episode).notes
    assert note.startswith("When shot 1 was filmed, no words were kept: ")
    said[0]["filmed"] = {"day": "2026-06-01", "narration": "Cut."}
    assert pack(Episode.model_validate({"id": "e", "title": "E", "shots": said})).notes == ()


@pytest.mark.usefixtures("no_pdf")
def test_a_description_longer_than_sites_take_is_told() -> None:
    """5,000 characters: common practice, no source."""
    brief = Brief(promise="x" * 3998)
    notions = tuple(Notion(name=f"Notion {at}", amount="x" * 200) for at in range(5))
    (note,) = pack(Episode(id="e", title="E", brief=brief, notions=notions)).notes
    assert note.startswith("description.txt has 5,")
    assert note.endswith(" characters; sites commonly take 5,000.")


@pytest.mark.usefixtures("no_pdf")
@pytest.mark.parametrize("width", ["wide", "20 m", "1 cm"])
def test_a_roll_of_paper_that_cannot_be_is_told_and_the_rest_is_made(width: str) -> None:
    made = pack(changed(small(), print_choices=PrintChoices(roll_width=width)))
    (names,) = (own for why, own in made.why_not.items() if why.startswith("The large sheet’s"))
    assert names == ["pattern-sheet.pdf"]
    assert "pieces.svg" in made.names


@pytest.mark.usefixtures("no_pdf")
def test_each_reason_why_files_are_not_made_is_told_once() -> None:
    made = pack(EPISODES[BRIEF])
    assert made.why_not == {"Not here.": ["companion.pdf"]}
    told = json.loads(made.files[-1].content)["not_made"]
    assert [(one["name"], one["why"]) for one in told] == [("companion.pdf", "Not here.")]


@pytest.mark.parametrize("name", ["pieces.svg", "pieces.dxf", "lay.svg"])
def test_what_is_cut_by_says_while_it_would_mislead(name: str) -> None:
    document = small().model_dump()
    document["cloths"] = [{"name": "Linen", "width": "150 cm"}]
    for garment in document["garments"]:
        garment["pieces"][0]["cloth"] = "Linen"
    sound = EXPORTS[name](evaluate(Episode.model_validate(document)))
    document["garments"][0]["steps"][0]["words"] = "Cut it {."
    draft = EXPORTS[name](evaluate(Episode.model_validate(document)))
    assert sound and draft
    note = "Draft: do not cut by it yet"
    assert note not in sound.decode()
    if name == "pieces.dxf":
        assert note in draft.decode()
        return
    root = ElementTree.fromstring(draft)
    texts = {tag: [one.text or "" for one in root.iter(f"{SVG}{tag}")] for tag in TAGS}
    assert texts["title"][0].startswith(note)
    assert texts["desc"][0].startswith(note)
    assert note in texts["text"]
