"""Writing of files: an output is replaced only when the new one is whole."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from tracer.errors import EmitError

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

    Raises
    ------
    EmitError
        The folder is not there, is read-only or full; the old file is as it was.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    temporary: str | None = None
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent or Path())
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(temporary).chmod(0o666 & ~_umask())
        Path(temporary).replace(target)
    except OSError as error:
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)
        raise EmitError(
            f"cannot write it: {error.strerror or error}", file=str(target), fix="name another place with -o"
        ) from None


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
