"""The command `seamslate`: serve the app, render an episode's files, check, back up, restore."""

import argparse
import gc
import json
import socket
import sys
import webbrowser
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from webapp.draft.names import listed
from webapp.errors import SeamslateError
from webapp.plan.episode import Episode
from webapp.settings import Settings, add_options, from_options

LOOPBACK: Final = "127.0.0.1"  # this machine only; nothing else can reach it


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns its exit status (2 for what cannot be read or done)."""
    options = _parser().parse_args(arguments)
    try:
        status: int = options.run(options)
    except SeamslateError as error:
        print(error.sentence, file=sys.stderr)
        return 2
    except OSError as error:
        print(f"{error.filename or 'A file'}: {error.strerror}.", file=sys.stderr)
        return 2
    return status


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="seamslate", description="A sewing episode held as one linked plan."
    )
    add_options(parser)
    parser.set_defaults(run=_serve)
    commands = parser.add_subparsers(title="other commands", metavar="COMMAND")

    render = commands.add_parser("render", help="write every file of an episode")
    render.add_argument("episode", type=Path, metavar="EPISODE.json")
    render.add_argument("--out", type=Path, required=True, metavar="DIR")
    render.add_argument("--size", metavar="NAME", help="draft on this size of the episode")
    render.set_defaults(run=_render)

    check = commands.add_parser("check", help="print the loose threads of an episode")
    check.add_argument("episode", type=Path, metavar="EPISODE.json")
    check.set_defaults(run=_check)

    schema = commands.add_parser("schema", help="print the JSON Schema of an episode file")
    schema.set_defaults(run=_schema)

    for name, run, words in (
        ("backup", _backup, "copy all plans to a file, also while Seamslate runs"),
        ("restore", _restore, "put the plans of a backup back"),
    ):
        command = commands.add_parser(name, help=words)
        command.add_argument("file", type=Path, metavar="FILE")
        add_options(command, "data_dir")
        command.set_defaults(run=run)
    return parser


def _serve(options: argparse.Namespace) -> int:
    import uvicorn  # noqa: PLC0415 - the other commands do without a server

    from webapp.app import create_app  # noqa: PLC0415
    from webapp.store.demo import add_demo  # noqa: PLC0415

    settings = from_options(options)
    app = create_app(settings)
    store = app.state.house.store
    if settings.demo and not store.list():
        add_demo(store)
    with listening(settings) as listener:
        address = _address(listener)
        server = uvicorn.Server(uvicorn.Config(app, log_level="warning"))
        collect_seldom()
        print(f"Seamslate is ready at {address}", flush=True)
        if settings.open_browser:
            webbrowser.open(address)
        server.run(sockets=[listener])
    return 0


def collect_seldom() -> None:
    """Spare edits the search for garbage in cycles, which stops all else for up to 0.1 s.

    What is there at the start stays for good and is not searched; what was remembered since is
    searched after a hundred smaller collections instead of ten.
    """
    gc.freeze()
    young, middle, _ = gc.get_threshold()
    gc.set_threshold(young, middle, 100)


def listening(settings: Settings) -> socket.socket:
    """The socket that is served on. SeamslateError when its port cannot be used."""
    # asyncio sends at once only on sockets that say they are TCP; else an answer waits 40 ms.
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((LOOPBACK, settings.port))
    except OSError as error:
        listener.close()
        raise SeamslateError(
            f"Port {settings.port} cannot be used: {error.strerror}. "
            "Try another, or --port 0 for any free one."
        ) from error
    listener.listen(128)
    return listener


def _address(listener: socket.socket) -> str:
    return f"http://{LOOPBACK}:{listener.getsockname()[1]}/"


def _read(path: Path) -> Episode:
    from webapp.store.episode_file import read_episode  # noqa: PLC0415

    return read_episode(path.read_bytes())


def _render(options: argparse.Namespace) -> int:
    """Exit status 1 when a file could not be made; the others are there."""
    from webapp.handouts.pack import write_pack  # noqa: PLC0415
    from webapp.plan.edits import changed, in_size  # noqa: PLC0415

    episode = _read(options.episode)
    if options.size is not None:
        choices = changed(episode.print_choices, drawn_for="")
        episode = in_size(changed(episode, print_choices=choices), options.size)
    made = write_pack(episode, options.out, _tell if sys.stderr.isatty() else None)
    for name in made.names:
        print(name)
    for note in made.notes:
        print(note, file=sys.stderr)
    for why, names in made.why_not.items():
        print(f"Not made: {listed(names)}. {why}", file=sys.stderr)
    return 1 if made.not_made else 0


def _tell(words: str) -> None:
    """To whoever watches, not to what reads the names."""
    print(words, file=sys.stderr)


def _check(options: argparse.Namespace) -> int:
    from webapp.plan.evaluate import evaluate  # noqa: PLC0415

    threads = evaluate(_read(options.episode)).loose_threads
    for thread in threads:
        print(f"{thread.severity}, {thread.page}: {thread.sentence}")
    return 1 if threads else 0


def _schema(_: argparse.Namespace) -> int:
    from webapp.store.episode_file import json_schema  # noqa: PLC0415

    print(json.dumps(json_schema(), indent=2, ensure_ascii=False))
    return 0


def _backup(options: argparse.Namespace) -> int:
    from webapp.store.backup import backup  # noqa: PLC0415

    backup(from_options(options).data_dir, options.file)
    print(f"Backed up to {options.file}")
    return 0


def _restore(options: argparse.Namespace) -> int:
    from webapp.store.backup import restore  # noqa: PLC0415

    kept = restore(from_options(options).data_dir, options.file)
    print("Restored." if kept is None else f"Restored. The plans from before are in {kept}")
    return 0
