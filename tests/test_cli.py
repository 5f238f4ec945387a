"""The command's contracts: render, check, schema, backup and restore, and serving."""

import asyncio
import json
import socket
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from webapp.cli import listening, main
from webapp.settings import Settings, files_dir

SMOCK = files_dir("demo_data") / "episode-3-lighthouse-smock.json"
BRIEF = files_dir("demo_data") / "episode-5-brief-only.json"


def test_render_writes_every_file_and_the_same_bytes_twice(tmp_path: Path) -> None:
    for folder in ("one", "two"):
        assert main(["render", str(SMOCK), "--out", str(tmp_path / folder)]) == 0
    names = {file.name for file in (tmp_path / "one").iterdir()}
    assert names == {
        "companion.pdf",
        "worksheet.pdf",
        "pieces.svg",
        "pieces.dxf",
        "lay.svg",
        "shopping-list.pdf",
        "shopping.csv",
        "plan.json",
    }
    for name in names:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_the_rendered_pieces_are_true_to_scale(tmp_path: Path) -> None:
    main(["render", str(SMOCK), "--out", str(tmp_path)])
    root = ET.parse(tmp_path / "pieces.svg").getroot()
    _, _, width, height = root.attrib["viewBox"].split()
    # SVG 1.1 §7.8: with equal viewBox and viewport sizes a user unit is the unit of the viewport.
    assert root.attrib["width"] == f"{width}mm"
    assert root.attrib["height"] == f"{height}mm"


def test_render_in_another_size_drafts_on_that_body(tmp_path: Path) -> None:
    document = json.loads(SMOCK.read_text())
    size = document["sizes"][0]["name"]
    main(["render", str(SMOCK), "--out", str(tmp_path), "--size", size.lower()])
    assert json.loads((tmp_path / "plan.json").read_text())["body"] == size


def test_render_in_an_unknown_size_names_those_there_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["render", str(SMOCK), "--out", str(tmp_path), "--size", "9XL"]) == 2
    assert "9XL" in capsys.readouterr().err


def test_an_episode_that_is_only_a_brief_renders_what_it_has(tmp_path: Path) -> None:
    assert main(["render", str(BRIEF), "--out", str(tmp_path)]) == 0
    assert {file.name for file in tmp_path.iterdir()} == {"companion.pdf", "plan.json"}


def test_check_says_what_is_loose_and_exits_with_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", str(SMOCK)]) == 0
    assert capsys.readouterr().out == ""
    document = json.loads(SMOCK.read_text())
    document["brief"]["target_seconds"] = 60
    loose = tmp_path / "loose.json"
    loose.write_text(json.dumps(document))
    assert main(["check", str(loose)]) == 1
    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith("should, running-time: The video runs ") and "over its target" in line


@pytest.mark.parametrize("content", [b"", b"{", b"\xff\xfe", b"[1]", b'{"version": 99}'])
def test_check_refuses_what_it_cannot_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes
) -> None:
    broken = tmp_path / "broken.json"
    broken.write_bytes(content)
    assert main(["check", str(broken)]) == 2
    assert capsys.readouterr().err.strip().endswith(".")


def test_a_missing_file_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path / "gone.json")]) == 2
    assert "gone.json" in capsys.readouterr().err


def test_schema_prints_a_json_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    assert "$defs" in json.loads(capsys.readouterr().out)


def test_the_server_prints_its_address_on_one_line(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "webapp", "--data", str(tmp_path), "--port", "0"]
    with subprocess.Popen([*command, "--no-browser"], stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        line = server.stdout.readline()
        server.terminate()
    assert line.startswith("Seamslate is ready at http://127.0.0.1:")


def test_a_backup_is_put_back(tmp_path: Path) -> None:
    data, copy = tmp_path / "data", tmp_path / "copy.db"
    command = [sys.executable, "-m", "webapp", "--data", str(data), "--port", "0"]
    with subprocess.Popen(
        [*command, "--no-browser", "--demo"], stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout is not None
        server.stdout.readline()
        assert main(["backup", str(copy), "--data", str(data)]) == 0
        server.terminate()
    fresh = tmp_path / "fresh"
    assert main(["restore", str(copy), "--data", str(fresh)]) == 0
    assert (fresh / "seamslate.db").exists()


def test_an_answer_is_sent_at_once(tmp_path: Path) -> None:
    # A small answer on a connection that is kept waits for the browser's acknowledgement otherwise,
    # which comes 40 ms later: RFC 1122, 4.2.3.2 and 4.2.3.4.
    async def at_once() -> int:
        found = asyncio.get_running_loop().create_future()

        async def answer(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            connection = writer.get_extra_info("socket")
            found.set_result(connection.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()

        with listening(Settings(data_dir=tmp_path, port=0)) as listener:
            async with await asyncio.start_server(answer, sock=listener):
                _, writer = await asyncio.open_connection(*listener.getsockname())
                no_delay: int = await found
                writer.close()
        return no_delay

    assert asyncio.run(at_once())
