"""Settings: the fields of `Settings` are the one table of name, default and help.

The defaults, the command's options and their help all come from it. Nothing is opened here.
"""

import argparse
import os
import re
from dataclasses import MISSING, dataclass, field, fields, replace
from ipaddress import ip_address
from pathlib import Path
from typing import Any, Final, Literal

from platformdirs import user_data_path

PACKAGE: Final = Path(__file__).parent
DATABASE_VARIABLE: Final = "SEAMSLATE_DATABASE"
MOST_PROCESSES: Final = 16  # each takes some 250 MB
_SECRET: Final = ("password", "sslpassword")  # what libpq takes in the address as well
LOOPBACK: Final = "127.0.0.1"  # this machine only; nothing else can reach it


def default_data_dir() -> Path:
    """Where this computer keeps a person's own data."""
    return user_data_path("seamslate", appauthor=False)


def _folder(text: str) -> Path:
    return Path(text).expanduser().absolute()  # as it is told, it is right from any folder


def _port(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) > 65_535:
        raise argparse.ArgumentTypeError(f"“{text}” is not a port; use 0 to 65535")
    return int(text)


def _address(text: str) -> str:
    """An address of this machine, as the sockets write it."""
    try:
        return str(ip_address({"localhost": LOOPBACK}.get(text.lower(), text.strip("[]"))))
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"“{text}” is no address to listen on; use one of this machine’s, like 192.168.1.20, "
            "or 0.0.0.0 for all of them"
        ) from None


def _name(text: str) -> str:
    name = text.strip().lower()
    if not re.fullmatch(r"[a-z0-9]([a-z0-9.-]*[a-z0-9])?", name):
        raise argparse.ArgumentTypeError(f"“{text}” is no name of a computer; leave out the port")
    return name


def _workers(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) > 64:
        raise argparse.ArgumentTypeError(f"“{text}” is no number of works; use 0 to 64")
    return int(text)


def _processes(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= MOST_PROCESSES:
        raise argparse.ArgumentTypeError(
            f"“{text}” is no number of processes; use 1 to {MOST_PROCESSES}"
        )
    return int(text)


def _option(option: str, help_text: str, **how_read: Any) -> dict[str, Any]:
    return {"option": option, "help": help_text, **how_read}


@dataclass(frozen=True)
class Settings:
    """Everything that can be set when Seamslate starts."""

    data_dir: Path = field(
        default_factory=default_data_dir,
        metadata=_option("--data", "the folder that keeps your plans", metavar="DIR", type=_folder),
    )
    # Not shown, and from the environment where it is not typed: it may hold a password.
    database: str = field(
        default="",
        repr=False,
        metadata=_option(
            "--database",
            "keep the plans on a PostgreSQL server instead, as postgresql://user@host/name; "
            f"also read from {DATABASE_VARIABLE}, unless it is empty: --database=",
            metavar="ADDRESS",
        ),
    )
    port: int = field(
        default=8765,
        metadata=_option(
            "--port", "the port to serve on; 0 takes any free one", metavar="N", type=_port
        ),
    )
    open_browser: bool = field(
        default=True,
        metadata=_option("--no-browser", "do not open the browser", action="store_false"),
    )
    demo: bool = field(
        default=False,
        metadata=_option("--demo", "add the demo series to a fresh folder", action="store_true"),
    )
    workers: int = field(
        default=0,
        metadata=_option(
            "--workers",
            "how many long works, such as lays and PDF files, go on at a time; 0 for as many as "
            "there are processors",
            metavar="N",
            type=_workers,
        ),
    )
    processes: int = field(
        default=1,
        metadata=_option(
            "--processes",
            "how many processes work out the episodes' pages; for a team, as many as there are "
            "processors",
            metavar="N",
            type=_processes,
        ),
    )
    listen: str = field(
        default=LOOPBACK,
        metadata=_option(
            "--listen",
            "the address to serve on, so that other machines can reach it; asks for a passphrase",
            metavar="ADDRESS",
            type=_address,
        ),
    )
    names: tuple[str, ...] = field(
        default=(),
        metadata=_option(
            "--name",
            "a name by which it may be called besides its address; may be given again",
            metavar="HOST",
            type=_name,
            action="append",
        ),
    )
    tls_certificate: Path | None = field(
        default=None,
        metadata=_option(
            "--tls-certificate", "serve https with this certificate", metavar="FILE", type=_folder
        ),
    )
    tls_key: Path | None = field(
        default=None,
        metadata=_option("--tls-key", "the key of that certificate", metavar="FILE", type=_folder),
    )

    @property
    def is_local(self) -> bool:
        """True where only this machine can reach what is served."""
        return ip_address(self.listen).is_loopback


def add_options(parser: argparse.ArgumentParser, *names: str) -> None:
    """Give `parser` the options of the named settings, or of all when none is named.

    An option that is not typed leaves no trace, so a subcommand does not undo the main command's.
    """
    for setting in fields(Settings):
        if names and setting.name not in names:
            continue
        row = dict(setting.metadata)
        option, help_text = row.pop("option"), row.pop("help")
        if row.get("action") not in ("store_true", "store_false"):
            value = setting.default
            if setting.default_factory is not MISSING:
                value = setting.default_factory()
            if value:
                help_text = f"{help_text} (default: {value})"
            help_text = help_text.replace("%", "%%")
        parser.add_argument(
            option, dest=setting.name, default=argparse.SUPPRESS, help=help_text, **row
        )


def from_options(options: argparse.Namespace) -> Settings:
    """The settings as typed on the command line, the defaults for the rest.

    A database that is not typed is looked for in the environment; so is the password of one that is
    typed without it, as we tell it.
    """
    known = {setting.name for setting in fields(Settings)}
    typed = {name: value for name, value in vars(options).items() if name in known}
    listed = {name: tuple(value) for name, value in typed.items() if isinstance(value, list)}
    settings = Settings(**{**typed, **listed})
    named = os.environ.get(DATABASE_VARIABLE, "")
    if not named or typed.get("database") == "":
        return settings
    if "database" not in typed or settings.database == without_password(named):
        return replace(settings, database=named)
    return settings


def without_password(address: str) -> str:
    """The address of a database as others may read it; a word in its place where it is none."""
    if address.count("@") > 1:  # one of them is in the password, and where that ends is not known
        return "ADDRESS"
    from sqlalchemy import URL, make_url  # noqa: PLC0415 - heavy, and few name a database
    from sqlalchemy.exc import ArgumentError  # noqa: PLC0415

    try:
        url = make_url(address)
    except (ArgumentError, ValueError):
        return "ADDRESS"
    rest = {name: value for name, value in url.query.items() if name not in _SECRET}
    parts = (url.drivername, url.username, None, url.host, url.port, url.database, rest)
    return URL.create(*parts).render_as_string()


def files_dir(name: Literal["templates", "static", "demo_data"]) -> Path:
    """The folder of that name: inside an installed package, or beside it in a checkout."""
    installed = PACKAGE / "_files" / name
    return installed if installed.is_dir() else PACKAGE.parent / name
