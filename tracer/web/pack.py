"""From wheels and the runtime to what the browser unpacks: less than was installed, compiled, in one piece.

Left out is what is never imported there: tests, machine code, types for type checkers, scripts, what describes a
package to pip, and parts of the standard library.
"""

from __future__ import annotations

import io
import re
import shutil
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from tracer.base.errors import EmitError
from tracer.web import in_runtime
from tracer.web.fetch import run_program

__all__ = ["UNUSED_OF_STDLIB", "Packed", "pack", "unpack_stdlib", "unpack_wheel"]

#: Programs, servers, mail and the tools of those who write Python: none of it is imported by what we pack.
UNUSED_OF_STDLIB = frozenset(
    {
        "__hello__", "__phello__", "_pyio", "antigravity", "cProfile", "doctest", "ftplib", "imaplib", "mailbox",
        "modulefinder", "multiprocessing", "nturl2path", "optparse", "pickletools", "plistlib", "poplib", "profile", "pstats",
        "pty", "pyclbr", "pydoc", "rlcompleter", "sched", "smtplib", "socketserver", "tabnanny", "this", "timeit", "trace",
        "unittest", "wave", "webbrowser", "wsgiref", "xmlrpc", "zipapp",
    }
)  # fmt: skip
#: Packages of the standard library that read their own docstrings.
_WHOLE_OF_STDLIB = frozenset({"_pyodide", "pyodide"})
_UNUSED_SUFFIXES = frozenset({".so", ".pyd", ".pyi", ".c", ".typed"})
_TESTS = frozenset({"test", "tests"})
#: What a wheel says of itself, and where it puts what does not go with its modules (Binary Distribution Format, PyPA).
_ABOUT, _ELSEWHERE = ".dist-info", ".data"
_MODULES_ELSEWHERE = ("purelib", "platlib")
_LICENCE = re.compile(r"(?i)(licen[cs]e|copying|notice)[^/]*$")
#: What `importlib.metadata` reads a version from.
_METADATA = "METADATA"
#: Our own files that only the build reads.
_BUILD_ONLY = ("tracer/web/assets/", "tracer/web/licences/")
_STDLIB = "python_stdlib.zip"
#: What the runtime asks of Node.
_OLD_NODE = "look whether node --version is 20 or newer, then build again"
#: Goes into the standard library, as the module `unpacked`.
_UNPACKER = "unpacked.py"


@dataclass(frozen=True, slots=True)
class Packed:
    """What the browser unpacks.

    Attributes
    ----------
    stdlib : bytes
        The standard library, compiled: a zip that Python imports from, its files as they are, as they are compressed
        better together.
    packages : bytes
        Folder of what is imported else: a tar, compressed with zstd.
    licences : mapping of str to str
        Name of a wheel's package -> the texts of its licence.
    """

    stdlib: bytes
    packages: bytes
    licences: Mapping[str, str]


def pack(wheels: Mapping[str, Path], own: Path, runtime: Path, work: Path) -> Packed:
    """Unpack, compile and pack again.

    Parameters
    ----------
    wheels : mapping of str to Path
        Name of a package -> its wheel.
    own : Path
        Our own wheel.
    runtime : Path
        A folder with the runtime's files as npm has them.
    work : Path
        An empty folder.

    Raises
    ------
    EmitError
        There is no Node, or it failed.
    """
    node = shutil.which("node")
    if node is None:
        raise EmitError(
            "Node.js, which compiles the packages, is not installed", fix="install it, then build again"
        )
    for name in in_runtime.FOLDERS:
        (work / name).mkdir()
    licences = {name: unpack_wheel(wheel, work / "packages") for name, wheel in wheels.items()}
    licences["rgbroots"] = unpack_wheel(own, work / "own", keeps_version=True)
    unpack_stdlib((runtime / _STDLIB).read_bytes(), work / "stdlib", work / "stdlib-whole")
    here = Path(__file__).resolve().parent
    # It must be there before what it unpacks.
    shutil.copy(here / _UNPACKER, work / "stdlib" / _UNPACKER)
    words = (node, str(here / "compile.mjs"), str(runtime), str(work), str(here / "in_runtime.py"))
    run_program(words, "the packages could not be compiled", work, _OLD_NODE)
    stdlib = _as_zip([work / "stdlib", work / "stdlib-whole"])
    return Packed(stdlib, (work / "packages.tar.zst").read_bytes(), licences)


def unpack_wheel(wheel: Path, folder: Path, *, keeps_version: bool = False) -> str:
    """Put what is imported of a wheel into a folder; gives the texts of its licence.

    Parameters
    ----------
    keeps_version : bool
        Whether `importlib.metadata` finds its version there.
    """
    licences = []
    with zipfile.ZipFile(wheel) as archive:
        for name in sorted(archive.namelist()):
            path = PurePosixPath(name)
            top = path.parts[0]
            if name.endswith("/"):
                continue
            if top.endswith(_ABOUT):
                if _LICENCE.search(name):
                    licences.append(archive.read(name).decode("utf-8", errors="replace").strip())
                if keeps_version and path.name == _METADATA:
                    _put(folder / name, archive.read(name))
            elif (target := _imported_as(path)) is not None:
                _put(folder / target, archive.read(name))
    return "\n\n".join(dict.fromkeys(licences))


def _imported_as(path: PurePosixPath) -> PurePosixPath | None:
    """Where pip puts a file of a wheel, seen from the folder of packages; None for what is never imported."""
    if path.parts[0].endswith(_ELSEWHERE):
        if path.parts[1] not in _MODULES_ELSEWHERE:
            return None
        path = PurePosixPath(*path.parts[2:])
    if path.suffix in _UNUSED_SUFFIXES or _TESTS & set(path.parts[:-1]):
        return None
    return None if path.as_posix().startswith(_BUILD_ONLY) else path


def unpack_stdlib(data: bytes, folder: Path, whole: Path) -> None:
    """Put what may be imported of the standard library into a folder, and what reads its own docstrings into another."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for name in archive.namelist():
            top = name.partition("/")[0].removesuffix(".py")
            if not name.endswith("/") and top not in UNUSED_OF_STDLIB:
                _put((whole if top in _WHOLE_OF_STDLIB else folder) / name, archive.read(name))


def _as_zip(folders: list[Path]) -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_STORED) as archive:
        for folder in folders:
            for path in sorted(path for path in folder.rglob("*") if path.is_file()):
                # With the first time that a zip can hold: the same files give the same bytes.
                archive.writestr(zipfile.ZipInfo(path.relative_to(folder).as_posix()), path.read_bytes())
    return data.getvalue()


def _put(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
