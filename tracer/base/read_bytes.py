"""Bytes of a file that somebody named: whatever lies there, reading it ends, and takes no more than it may.

A pipe is read (a shell's ``<(zcat board.net.gz)`` is one): one that nobody writes to is empty. Devices never end and
are not read.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path

__all__ = ["Unreadable", "read_at_most"]

_PIECE = 1 << 20


class Unreadable(Exception):
    """Why a file is not read: what is wrong, and what to do; readers make an error of the family of it."""

    def __init__(self, what: str, fix: str) -> None:
        super().__init__(what)
        self.what, self.fix = what, fix


def read_at_most(path: Path, largest: int, fix: str) -> bytes:
    """All bytes of a file or pipe of at most `largest` bytes; `fix` is what to do when it has more.

    Raises
    ------
    FileNotFoundError
        It is not there.
    Unreadable
        It is larger, a device, a socket, or may not be read.
    """
    try:
        # A path with a NUL in it raises a ValueError.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except FileNotFoundError:
        raise
    except (OSError, ValueError) as error:
        raise _no_access(error) from None
    with os.fdopen(handle, "rb") as file:
        status = os.fstat(handle)
        is_pipe = stat.S_ISFIFO(status.st_mode)
        if not is_pipe and not stat.S_ISREG(status.st_mode):
            raise Unreadable("this is a device, not a file", "name the file itself")
        if status.st_size > largest:
            raise _too_large(largest, fix)
        if is_pipe and hasattr(os, "set_blocking"):
            os.set_blocking(handle, True)
        pieces: list[bytes] = []
        left = largest + 1
        try:
            while left > 0 and (piece := file.read(min(left, max(_PIECE, status.st_size + 1)))):
                pieces.append(piece)
                left -= len(piece)
        except OSError as error:
            raise _no_access(error) from None
    if left <= 0:
        raise _too_large(largest, fix)
    return pieces[0] if len(pieces) == 1 else b"".join(pieces)


def _no_access(error: OSError | ValueError) -> Unreadable:
    why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return Unreadable(
        f"cannot read it: {why}", "check its permissions, and close the program that has it open, if one has"
    )


def _too_large(largest: int, fix: str) -> Unreadable:
    return Unreadable(f"the file is larger than {largest >> 20} MiB", fix)
