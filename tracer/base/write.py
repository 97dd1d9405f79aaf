"""Writing of files: an output is replaced only when the new one is whole."""

from __future__ import annotations

import errno
import os
import tempfile
from pathlib import Path

from tracer.base.errors import EmitError

__all__ = ["make_folder", "write_whole"]


def make_folder(folder: Path) -> None:
    """Make a folder and those above it.

    Raises
    ------
    EmitError
        It cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise EmitError(
            f"cannot make the folder: {error.strerror or error}", file=str(folder), fix="name another with -o"
        ) from None


def write_whole(target: Path, content: str | bytes) -> None:
    """Write beside the target and put it in its place at the end.

    A link keeps leading where it leads: the file there is replaced. A pipe or device is written into.

    Raises
    ------
    EmitError
        The folder is not there, is read-only or full, a folder has that name, or (on Windows) another program holds the
        file open; the old file is as it was.
    """
    # Half characters, which no file of UTF-8 can hold, come from names of files in another encoding.
    data = content.encode("utf-8", errors="backslashreplace") if isinstance(content, str) else content
    try:
        if target.is_dir():
            raise IsADirectoryError(errno.EISDIR, "a folder has that name")
        if target.exists() and not target.is_file():
            target.write_bytes(data)
        else:
            _replace(Path(os.path.realpath(target)), data)
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        fix = "name another place with -o"
        if isinstance(error, PermissionError) and target.is_file():
            fix = f"close the program that has it open, if one has; else {fix}"
        raise EmitError(f"cannot write it: {why}", file=str(target), fix=fix) from None


def _replace(target: Path, data: bytes) -> None:
    handle, name = tempfile.mkstemp(prefix=".rgbroots-", dir=target.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        temporary.chmod(0o666 & ~_umask())
        temporary.replace(target)
    except BaseException:
        # Also when it was stopped from the keyboard.
        temporary.unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
