"""The passphrase that others' machines are asked for: kept as a salted hash, in no clear text."""

import hashlib
import hmac
import json
import os
import secrets
import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from webapp.command import to_type
from webapp.errors import PassphraseError

SHORTEST: Final = 12  # characters; NIST SP 800-63B asks for 8, and for 15 where nothing else is
LONGEST: Final = 200
# OWASP Password Storage Cheat Sheet, scrypt: N = 2^17, r = 8, p = 1; 128 MB for each try.
_N, _R, _P = 2**17, 8, 1
_MOST_MEMORY: Final = 256 * 1024 * 1024  # bytes; what scrypt may take
_FILE: Final = "passphrase.json"
# Of the commonest passwords that are told each year, those of twelve characters or more (from
# memory); written without spaces and in small letters.
_COMMON: Final = frozenset(
    {
        "123456789012", "1234567890123", "123456789123", "1234567891011", "1q2w3e4r5t6y",
        "1qaz2wsx3edc", "qwertyuiop12", "qwertyuiop123", "qwertyuiopasdf", "qwerty123456",
        "passwordpassword", "password1234", "password12345", "password123456", "iloveyou1234",
        "administrator", "letmeinletmein", "welcome12345", "changemechangeme", "changeme1234",
        "unknown12345", "abcdefghijkl", "abcdefghijklm", "abcd12345678", "abc123abc123",
        "correcthorsebatterystaple", "mypassphrase", "thepassphrase", "passphrase12",
        "passphrase123", "seamslateseamslate", "opensesame123", "trustno1trustno1",
    }
)  # fmt: skip
_FEWEST_LETTERS: Final = 5  # different ones


@dataclass(frozen=True)
class Passphrase:
    """What is kept of a passphrase. A new one has another salt, also when it is the same again."""

    salt: bytes
    hashed: bytes
    n: int = _N
    r: int = _R
    p: int = _P

    def is_it(self, typed: str) -> bool:
        """Whether that is the passphrase. Takes as long, whichever letter is wrong."""
        return hmac.compare_digest(_hash(typed, self.salt, self.n, self.r, self.p), self.hashed)


def path_of(folder: Path) -> Path:
    """Where a data folder keeps it."""
    return folder / _FILE


def why_not(typed: str) -> str:
    """What is wrong with a new passphrase, in a sentence; empty when it will do."""
    plain = "".join(_normal(typed).casefold().split())
    if len(_normal(typed)) < SHORTEST:
        return f"A passphrase has at least {SHORTEST} characters; four or five words are best."
    if len(typed) > LONGEST:
        return f"A passphrase has {LONGEST} characters at most."
    is_repeated = plain in (plain + plain)[1:-1]  # one word over and over
    if plain in _COMMON or is_repeated or len(set(plain)) < _FEWEST_LETTERS:
        return "This is one of the first that anyone would try. Take four or five words of yours."
    return ""


def keep(folder: Path, typed: str) -> None:
    """Keep a new passphrase in a file that only its owner may read. PassphraseError."""
    if told := why_not(typed):
        raise PassphraseError(told)
    salt = secrets.token_bytes(16)
    hashed = _hash(typed, salt, _N, _R, _P)
    document = {"scrypt": {"n": _N, "r": _R, "p": _P}, "salt": salt.hex(), "hash": hashed.hex()}
    path = path_of(folder)
    part = path.with_suffix(".part")
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)  # it is the first to be there
        part.unlink(missing_ok=True)
        with os.fdopen(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w") as file:
            json.dump(document, file)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        why = "that is a file" if folder.is_file() else error.strerror
        raise PassphraseError(
            f"The passphrase cannot be kept in {folder}: {why}. The one before holds."
        ) from error


def kept(folder: Path) -> Passphrase | None:
    """The passphrase of a data folder; None when there is none. PassphraseError if it is broken."""
    path = path_of(folder)
    try:
        told = json.loads(path.read_text("utf-8"))
        costs = {name: int(told["scrypt"][name]) for name in ("n", "r", "p")}
        return Passphrase(bytes.fromhex(told["salt"]), bytes.fromhex(told["hash"]), **costs)
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise PassphraseError(
            f"{path} cannot be read. Set the passphrase anew:\n{to_type(folder, 'passphrase')}"
        ) from error


def _normal(typed: str) -> str:
    """The same text however a keyboard composes its letters (NIST SP 800-63B: NFKC)."""
    return unicodedata.normalize("NFKC", typed)


def _hash(typed: str, salt: bytes, n: int, r: int, p: int) -> bytes:
    plain = _normal(typed).encode("utf-8", "replace")
    return hashlib.scrypt(plain, salt=salt, n=n, r=r, p=p, maxmem=_MOST_MEMORY, dklen=32)
