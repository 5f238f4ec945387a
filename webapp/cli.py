"""The command `seamslate`: serve the app, render an episode's files, check, back up, restore."""

import argparse
import gc
import getpass
import json
import os
import re
import sys
import webbrowser
from collections.abc import Sequence
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Final

from webapp import log
from webapp.command import ELSEWHERE, to_type
from webapp.draft.names import listed, plural
from webapp.errors import InUseError, PassphraseError, SeamslateError, StoreError
from webapp.plan.episode import Episode
from webapp.settings import Settings, add_options, from_options, without_password

_NO_PASSPHRASE: Final = (
    "Other machines could read and change your plans. Set a passphrase first, which every page "
    "will ask for:\n{command}"
)
_CAN_BE_READ: Final = (
    "Note: without a certificate the passphrase and the plans can be read on their way. Do so only "
    "in a network whose users you trust; else give --tls-certificate FILE --tls-key FILE."
)
_FOR_OTHERS: Final = 0o077  # rights that a new file does not give
_PASSWORD: Final = re.compile(r"//[^/?#@]*:[^@]*@|[?&](ssl)?password=")
_PASSWORD_LISTED: Final = (
    "Note: others on this machine can read the password in its list of programs. Leave it out of "
    "--database: give the whole address as SEAMSLATE_DATABASE, or the password in ~/.pgpass."
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns its exit status (2 for what cannot be read or done)."""
    options = _parser().parse_args(arguments)
    # Plans, copies and backups are for nobody else on this machine; what is rendered is given away.
    before = None if options.run is _render else os.umask(_FOR_OTHERS)
    try:
        if _PASSWORD.search(getattr(options, "database", "")):
            print(_PASSWORD_LISTED, file=sys.stderr, flush=True)
        status: int = options.run(options)
    except SeamslateError as error:
        print(error.sentence, file=sys.stderr)
        return 2
    except OSError as error:
        print(f"{error.filename or 'A file'}: {error.strerror}.", file=sys.stderr)
        return 2
    finally:
        gc.enable()
        if before is not None:
            os.umask(before)
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
        ("backup", _backup, "copy all plans and pictures to a file, also while Seamslate runs"),
        ("restore", _restore, "put a backup back, or a copy by its name"),
    ):
        command = commands.add_parser(name, help=words)
        which = "where to, as on a stick or another disk" if run is _backup else "what is put back"
        command.add_argument("file", type=Path, metavar="FILE", help=which)
        if run is _restore:
            command.add_argument(
                "--anyway",
                action="store_true",
                help="restore it though an episode in it cannot be read",
            )
        else:
            command.add_argument(
                "--replace",
                action="store_true",
                help="write over an older backup of that name; it stays until the new one is whole",
            )
        add_options(command, "data_dir", "database")
        command.set_defaults(run=run)

    copies = commands.add_parser("copies", help="list the copies that were made by themselves")
    add_options(copies, "data_dir")
    copies.set_defaults(run=_copies)

    doctor = commands.add_parser("doctor", help="look whether all is well, and say what to do")
    add_options(doctor, "data_dir", "database", "port")
    doctor.set_defaults(run=_doctor)

    passphrase = commands.add_parser(
        "passphrase", help="set what other machines are asked for (see --listen)"
    )
    add_options(passphrase, "data_dir")
    passphrase.set_defaults(run=_passphrase)
    return parser


def _serve(options: argparse.Namespace) -> int:
    gc.disable()  # until all is loaded and `collect_seldom`: nothing of it is garbage
    # The other commands do without a server.
    from webapp.listening import (  # noqa: PLC0415
        address_to_open,
        hold_many_files,
        listening,
        server,
        who_can_open,
    )
    from webapp.opening import Opening  # noqa: PLC0415
    from webapp.passphrase import kept  # noqa: PLC0415
    from webapp.store.in_use import in_use  # noqa: PLC0415

    settings = from_options(options)
    if not settings.is_local:
        if kept(settings.data_dir) is None:
            command = to_type(settings.data_dir, "passphrase")
            raise PassphraseError(_NO_PASSPHRASE.format(command=command))
        if settings.tls_certificate is None:
            print(_CAN_BE_READ, file=sys.stderr, flush=True)
    with ExitStack() as until_the_end:
        note = until_the_end.enter_context(in_use(settings.data_dir))
        log.begin(settings.data_dir)
        hold_many_files()
        app = Opening(settings)
        listener = until_the_end.enter_context(listening(settings))
        address = address_to_open(listener, settings)
        serving = server(app, settings)
        collect_seldom()
        note(address)
        print(f"Seamslate is ready at {address}", flush=True)
        print(who_can_open(listener, settings), flush=True)
        if not settings.is_local:
            print(f"To set a new one: {to_type(settings.data_dir, 'passphrase')}", flush=True)
        if sys.stdout.isatty():
            print("To end it, hold Ctrl and press C here.", flush=True)
        if settings.open_browser:
            webbrowser.open(address)
        with suppress(KeyboardInterrupt):  # Ctrl-C: it has ended in good order by now
            serving.run(sockets=[listener])
    return 0


def collect_seldom() -> None:
    """Spare edits the search for garbage in cycles, which stops all else for up to 0.1 s.

    What is there at the start stays for good and is not searched; what was remembered since is
    searched after a hundred smaller collections instead of ten.
    """
    gc.freeze()
    gc.enable()
    young, middle, _ = gc.get_threshold()
    gc.set_threshold(young, middle, 100)


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

    settings = from_options(options)
    backup(settings.data_dir, options.file, settings.database, replace=options.replace)
    print(f"Backed up {_held(options.file)} of {_where(settings)} to {options.file}")
    return 0


def _restore(options: argparse.Namespace) -> int:
    from webapp.store.backup import restore  # noqa: PLC0415
    from webapp.store.in_use import how_to_end  # noqa: PLC0415

    settings = from_options(options)
    data_dir = settings.data_dir
    file = options.file if options.file.exists() else _copy_named(data_dir, options.file)
    held = _held(file)
    try:
        kept = restore(data_dir, file, named=settings.database, anyway=options.anyway)
    except InUseError as error:
        ending = how_to_end(data_dir, "To restore")
        raise StoreError(f"{error.sentence}\n{ending}".rstrip()) from error
    print(f"Restored {held} in {_where(settings)}")
    if kept is not None:
        print(f"The plans from before are in {kept}")
    print(f"To see what was restored: {to_type(data_dir, database=settings.database)}")
    return 0


def _held(file: Path) -> str:
    """What is in a backup or a copy."""
    from webapp.store.kept_copies import episodes_in  # noqa: PLC0415

    episodes = episodes_in(file)
    return "the plans" if episodes is None else plural(episodes, "episode")


def _where(settings: Settings) -> str:
    """Where the plans are kept."""
    return without_password(settings.database) if settings.database else str(settings.data_dir)


def _copy_named(data_dir: Path, file: Path) -> Path:
    """The copy of that name, else the file as it was named: what is wrong with it is told next.

    What a copy's name ends with need not be typed.
    """
    from webapp.store.kept_copies import copies_in  # noqa: PLC0415

    names = (str(file), f"{file}.db")
    return next((one.path for one in copies_in(data_dir) if one.name in names), file)


def _copies(options: argparse.Namespace) -> int:
    from webapp.pages.plan_copies import copy_lines  # noqa: PLC0415
    from webapp.store.kept_copies import copies_in  # noqa: PLC0415

    data_dir = from_options(options).data_dir
    found = copy_lines(copies_in(data_dir))
    for one in found:
        last = f"; last change {one.changed}, {one.what}" if one.changed else ""
        print(f"{one.name}  {one.when}  {one.why}: {one.holds}, {one.size}{last}")
    if not found:
        print(f"There are no copies in {data_dir} yet. {ELSEWHERE}", file=sys.stderr)
    return 0


def _doctor(options: argparse.Namespace) -> int:
    from webapp.doctor.report import examine  # noqa: PLC0415

    return examine(from_options(options))


def _passphrase(options: argparse.Namespace) -> int:
    """Ask for it twice at the terminal, where it is not shown; else take a line of what is sent."""
    from webapp.passphrase import keep, why_not  # noqa: PLC0415

    if sys.stdin.isatty():
        typed = getpass.getpass("New passphrase (it is not shown): ")
        if told := why_not(typed):
            raise PassphraseError(told)
        if getpass.getpass("Once more: ") != typed:
            raise PassphraseError("The two are not the same. Nothing was changed.")
    else:
        typed = sys.stdin.readline().rstrip("\r\n")
    folder = from_options(options).data_dir
    keep(folder, typed)
    print(f"The passphrase is set for the plans in {folder}")
    print("Whoever was signed in has to sign in again.")
    return 0
