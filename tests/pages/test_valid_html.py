"""The HTML of every page, by the Nu validator where it and Java are there (`.ci/run` brings the
validator from npm and names it in VNU_JAR), else by html5lib, which reads by the HTML standard's
own parsing rules and knows less.

htmx's attributes are no HTML, and are meant: `hx-…` alone is passed over. So is what the validator
does not know of CSS.
"""

import json
import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import html5lib
from starlette.testclient import TestClient

from tests.every_page import ADDRESSES, BRIEF_ONLY, SMOCK
from webapp.pages.house import House
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode

REFUSED = {  # entries that come back with what was typed, and what is said of it
    f"{SMOCK}/brief": {"number": "many"},
    f"{BRIEF_ONLY}/brief": {"title": ""},
    "/episodes": {"title": ""},
}


def test_the_html_of_every_page_is_valid(client: TestClient, house: House, tmp_path: Path) -> None:
    for file in sorted(files_dir("demo_data").glob("*.json"), reverse=True):
        house.store.add(read_episode(file.read_bytes()))
    pages = {address: client.get(address).text for address in ADDRESSES}
    for address, typed in REFUSED.items():
        answer = client.post(address, data=typed)
        assert answer.status_code == 422
        pages[f"refused {address}"] = answer.text
    pages["faulty"] = "<!doctype html><title>x</title><p></b>"
    found = _faults(pages, tmp_path / "pages")
    others = [fault for fault in found if not fault.startswith("faulty: ")]
    assert not others, "\n".join(others)
    assert found  # what is faulty is told


def _faults(pages: dict[str, str], folder: Path) -> list[str]:
    """What is wrong in which page."""
    jar = os.environ.get("VNU_JAR")
    read: Callable[[dict[str, str], Path], list[str]] = _by_parsing
    if jar and Path(jar).is_file() and shutil.which("java"):
        read = _by_nu
    folder.mkdir()
    return read(pages, folder)


def _by_nu(pages: dict[str, str], folder: Path) -> list[str]:
    addresses = [*pages]
    for number, address in enumerate(addresses):
        (folder / f"{number}.html").write_text(pages[address], "utf-8")
    # It runs too shortly for the better of Java's compilers to pay.
    java = ["java", "-XX:TieredStopAtLevel=1", "-Xss8m", "-jar", os.environ["VNU_JAR"]]
    command = [*java, "--format", "json", "--stdout", "--errors-only", "--exit-zero-always"]
    done = subprocess.run([*command, str(folder)], check=True, capture_output=True, text=True)
    return [
        f"{addresses[int(Path(one['url']).stem)]}: {one['message']}: {one.get('extract', '')}"
        for one in json.loads(done.stdout)["messages"]
        if "Attribute “hx-" not in one["message"]
    ]


def _by_parsing(pages: dict[str, str], folder: Path) -> list[str]:  # noqa: ARG001
    found = []
    for address, text in pages.items():
        parser = html5lib.HTMLParser()
        parser.parse(text)
        found += [f"{address}: {fault}" for fault in parser.errors]
    return found
