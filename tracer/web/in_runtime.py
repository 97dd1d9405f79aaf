"""Runs in the runtime's own Python, when the folder is built: compiles what will be imported there, and packs it.

``compile.mjs`` starts it. Compiled modules are read only by the Python that made them, and import in less than half
the time. They carry the lines of their sources for messages, but no columns (``PYTHONNODEBUGRANGES``), which would be a
quarter of what is downloaded.
"""

from __future__ import annotations

import compileall
import io
import tarfile
from pathlib import Path
from py_compile import PycInvalidationMode

__all__ = ["FOLDERS", "compile_folder", "pack_folders"]

#: Folder -> how far it is optimized; 2 is without docstrings and assertions (Python's option -OO). What reads its own
#: docstrings stays whole: ours, and the part of the runtime that gives JavaScript's objects theirs.
FOLDERS = {"packages": 2, "own": 0, "stdlib": 2, "stdlib-whole": 0}
#: Of them, those that are unpacked once Python runs.
_PACKED = ("packages", "own")
_SUFFIX = ".pyc"
#: Of zstd: the highest, as a build is made once.
_LEVEL = 22
#: Folders in one another that are looked through; packages have a few.
_LEVELS = 40


def compile_folder(folder: Path, optimize: int) -> bool:
    """Put a compiled module in the place of each source; False when one could not be compiled."""
    compiled = compileall.compile_dir(
        folder,
        maxlevels=_LEVELS,
        quiet=1,
        legacy=True,
        optimize=optimize,
        stripdir=folder,
        invalidation_mode=PycInvalidationMode.UNCHECKED_HASH,
    )
    for source in folder.rglob("*.py"):
        if source.with_suffix(_SUFFIX).is_file():
            source.unlink()
    return bool(compiled)


def pack_folders(folders: list[Path]) -> bytes:
    """Their files as one tar, which says nothing of who made it and when: the same files give the same bytes."""
    data = io.BytesIO()
    with tarfile.open(fileobj=data, mode="w", format=tarfile.USTAR_FORMAT) as tar:
        for folder in folders:
            for path in sorted(path for path in folder.rglob("*") if path.is_file()):
                info = tarfile.TarInfo(path.relative_to(folder).as_posix())
                info.size = path.stat().st_size
                tar.addfile(info, io.BytesIO(path.read_bytes()))
    return data.getvalue()


def _main(work: Path) -> None:
    # What older Pythons do not have: it is there in the runtime's.
    from compression import zstd  # type: ignore[import-not-found]

    for name, optimize in FOLDERS.items():
        if not compile_folder(work / name, optimize):
            raise SystemExit(f"a module of {name} could not be compiled")
    packed = pack_folders([work / name for name in _PACKED])
    (work / "packages.tar.zst").write_bytes(zstd.compress(packed, _LEVEL))


if __name__ == "__main__":
    _main(Path("/work"))
