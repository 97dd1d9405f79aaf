"""Programs that stand for npm and Node: small ones of the shell, in a folder that is put on PATH."""

from __future__ import annotations

import io
import tarfile
from pathlib import Path

__all__ = ["put_program", "tarball"]


def put_program(folder: Path, name: str, script: str) -> None:
    """A program of the shell; whatever else it uses comes from the system's own folders."""
    folder.mkdir(exist_ok=True)
    path = folder / name
    path.write_text(f"#!/bin/sh\nPATH=/usr/bin:/bin\n{script}\n", encoding="utf-8")
    path.chmod(0o755)


def tarball(files: dict[str, bytes]) -> bytes:
    """A package as npm packs it: everything in a folder ``package``."""
    data = io.BytesIO()
    with tarfile.open(fileobj=data, mode="w:gz") as tar:
        for name, content in files.items():
            info = tarfile.TarInfo(f"package/{name}")
            info.size = len(content)
            tar.addfile(info, io.BytesIO(content))
    return data.getvalue()
