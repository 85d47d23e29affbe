"""Secrets of addresses: from the environment, or from a file that only its owner can read; never from elsewhere."""

import os
import re
from pathlib import Path
from typing import Final
from urllib.parse import quote

from winterrisk.science.faults import Fault, Refused

NAMED: Final = re.compile(r"\$\{([A-Z][A-Z0-9_]{0,63})\}")
"""How an address of the course file names a secret: ${CLUB_MAIL}."""
OURS: Final = "WINTERRISK_"
"""What names of secrets begin with in the environment: a course file of somebody else can name nothing else there."""
FILE_NAMED_BY: Final = f"{OURS}SECRETS"
"""Name in the environment of another place of the file."""
USUAL_FILE: Final = "~/.config/winterrisk/secrets"
LARGEST: Final = 65536
"""Largest file of secrets [bytes] (judged)."""


class SecretError(Refused):
    """A secret that cannot be had, or a file of secrets that others could read."""


def filled_address(address: str) -> str:
    """The address with each ${NAME} filled in: WINTERRISK_NAME of the environment, else NAME of the owner's file.

    A secret that is only part of an address is written as addresses want it (@ as %40).

    Raises:
        SecretError: a name that stands nowhere; a file that others may read, or that is not ours.
    """
    names = NAMED.findall(address)
    if not names:
        return address
    kept = None
    values = {}
    for name in names:
        value = os.environ.get(OURS + name)
        if value is None:
            kept = _of_file() if kept is None else kept
            value = kept.get(name)
        if not value:
            move = f"write {name}=... into {_file()} (chmod 600), or set {OURS}{name}"
            expected = "it in the environment or the file"
            raise SecretError(Fault(f"secret {name}", "no such secret", expected, move))
        values[name] = value
    if NAMED.fullmatch(address):
        return values[names[0]]
    return NAMED.sub(lambda match: quote(values[match[1]], safe=""), address)


def _file() -> Path:
    return Path(os.environ.get(FILE_NAMED_BY) or USUAL_FILE).expanduser()


def _of_file() -> dict[str, str]:
    """NAME=value lines of the owner's file; empty where there is none."""
    try:
        path = _file()
        if not path.exists():
            return {}
        with path.open("rb") as file:
            stat = os.fstat(file.fileno())
            if hasattr(os, "getuid") and (stat.st_mode & 0o077 or stat.st_uid != os.getuid()):
                found = "a file that others may read" if stat.st_mode & 0o077 else "a file of somebody else"
                raise SecretError(
                    Fault(str(path), found, "one that only you can read", f"chmod 600 {path}, as its owner")
                )
            content = file.read(LARGEST + 1)
    except (OSError, RuntimeError) as fault:
        reason = getattr(fault, "strerror", None) or "no home folder to look in"
        move = f"check its permissions, or name another file in {FILE_NAMED_BY}"
        raise SecretError(Fault("secrets", reason.lower(), "a file that you can read", move)) from None
    if len(content) > LARGEST:
        raise SecretError(
            Fault(str(path), f"more than {LARGEST} bytes", "a few lines", "NAME=value, one a line")
        )
    try:
        lines = content.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise SecretError(
            Fault(str(path), "bytes that are no text", "UTF-8", "save it as UTF-8 text")
        ) from None
    pairs = (line.partition("=") for line in lines if line.strip() and not line.lstrip().startswith("#"))
    return {name.strip(): value.strip() for name, mark, value in pairs if mark}
