"""Settings: one table feeds the defaults, the options and their help."""

import argparse
from dataclasses import fields
from pathlib import Path

import pytest

from webapp import settings
from webapp.settings import Settings, add_options, files_dir, from_options


def typed(*words: str) -> Settings:
    parser = argparse.ArgumentParser()
    add_options(parser)
    return from_options(parser.parse_args(words))


def test_nothing_typed_gives_the_defaults_serving_this_computer_only() -> None:
    assert typed() == Settings()
    assert Settings().port == 8765
    assert Settings().open_browser
    assert not Settings().demo
    assert Settings().data_dir.name == "seamslate"


def test_each_option_is_taken() -> None:
    words = ["--data", "~/plans", "--port", "0", "--no-browser", "--demo", "--database", "there"]
    home = Path.home() / "plans"
    asked = Settings(home, database="there", port=0, open_browser=False, demo=True)
    assert typed(*words) == asked


@pytest.mark.parametrize("port", ["65536", "-1", "web", "8_0", "８０"])
def test_a_port_that_is_none_is_refused(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        typed(f"--port={port}")
    assert f"“{port}” is not a port; use 0 to 65535" in capsys.readouterr().err


def test_the_help_names_every_option_and_default(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", "/plans at 100%")
    parser = argparse.ArgumentParser()
    add_options(parser)
    text = " ".join(parser.format_help().split())
    for row in fields(Settings):
        assert row.metadata["option"] in text
        assert row.metadata["help"] in text
    assert "(default: 8765)" in text


def test_a_subcommand_does_not_undo_the_main_commands_option() -> None:
    parser, here = argparse.ArgumentParser(), Path.cwd()
    add_options(parser)
    backup = parser.add_subparsers().add_parser("backup")
    add_options(backup, "data_dir")
    assert from_options(parser.parse_args(["--data", "a", "backup"])).data_dir == here / "a"
    assert from_options(parser.parse_args(["backup", "--data", "b"])).data_dir == here / "b"
    with pytest.raises(SystemExit):
        parser.parse_args(["backup", "--port", "1"])


def test_the_folders_beside_the_code_are_found_in_a_checkout_and_in_a_wheel(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert files_dir("templates") == Path(__file__).parents[2] / "templates"
    monkeypatch.setattr(settings, "PACKAGE", tmp_path / "webapp")
    (tmp_path / "templates").mkdir()  # someone else's folder in site-packages
    (tmp_path / "webapp/_files/templates").mkdir(parents=True)
    assert files_dir("templates") == tmp_path / "webapp/_files/templates"
