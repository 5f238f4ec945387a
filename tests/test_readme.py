"""The README's recipe for a team, each command as it is written there."""

import io
import os
import re
import shlex
import sys
from pathlib import Path

import pytest

from tests.filled import fill, titles
from webapp import passphrase
from webapp.cli import _parser, main
from webapp.settings import PACKAGE, default_data_dir, from_options

README = (PACKAGE.parent / "README.md").read_text("utf-8")
WORDS = "tack the lantern sleeve twice"


def commands(part: str) -> list[list[str]]:
    """The arguments of each command of ours in a part of the README, as a shell would give them."""
    found = re.search(rf"<!-- {part} -->\n```sh\n(.*?)```", README, re.DOTALL)
    assert found
    processors = str(min(os.cpu_count() or 1, 16))
    lines = found[1].replace("$(nproc)", processors).splitlines()
    typed = [shlex.split(line) for line in lines]
    assert {words[0] for words in typed} == {".venv/bin/seamslate"}
    return [
        [str(Path(word).expanduser()) if word[0] == "~" else word for word in words[1:]]
        for words in typed
    ]


def test_it_opens_with_the_job_then_the_command_that_runs_it_and_that_of_the_tests() -> None:
    title, job, *rest = README.partition("\n## ")[0].split("\n\n")
    assert title == "# Seamslate"
    assert job.startswith("Seamslate holds a sewing episode as one linked plan")
    found = re.findall(r"<!-- (\w+) -->\n```sh\n.+\n```", "\n\n".join(rest))
    assert found == ["run", "test"]  # each one line


def test_it_is_started_again_by_what_was_installed() -> None:
    (again,) = commands("again")
    assert from_options(_parser().parse_args(again)).data_dir == default_data_dir()


def test_the_commands_for_a_team_do_what_they_are_there_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    assert default_data_dir() == tmp_path / ".local" / "share" / "seamslate"  # as it is told
    monkeypatch.setattr(passphrase, "_N", 2**4)
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"{WORDS}\n"))
    own, team = commands("team own plans")
    fill(default_data_dir(), "Apron")
    assert [main(own), main(team)] == [0, 0]
    assert titles(tmp_path / "seamslate-team") == ["Apron"]
    ask, serve = commands("team")
    (backup,), (restore,) = commands("team backup"), commands("team restore")
    assert main(ask) == 0
    settings = from_options(_parser().parse_args(serve))
    assert not settings.is_local and not settings.open_browser
    assert settings.processes == min(os.cpu_count() or 1, 16)
    folder = tmp_path / "seamslate-team"
    assert settings.data_dir == folder
    assert passphrase.kept(folder)  # where the server looks for it
    fill(folder, "Smock")
    assert [main(backup), main(backup)] == [0, 0]  # again and again
    fill(folder, "Skirt")
    assert main(restore) == 0
    assert sorted(titles(folder)) == ["Apron", "Smock"]
