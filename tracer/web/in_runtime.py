"""Runs in the runtime's own Python, when the folder is built: compiles what will be imported there, and packs it.

``compile.mjs`` starts it. Compiled modules are read only by the Python that made them, and import in less than half
the time. They carry the lines of their sources for messages, but no columns (``PYTHONNODEBUGRANGES``), which would be a
quarter of what is downloaded.
"""

from __future__ import annotations

import ast
import io
import marshal
import sys
import tarfile
from importlib.util import MAGIC_NUMBER
from pathlib import Path

__all__ = ["FOLDERS", "compile_folder", "pack_folders"]

#: Folder -> whether docstrings stay: what reads its own stays whole, which is ours, and the part of the runtime that
#: gives JavaScript's objects theirs. Assertions stay everywhere: packages tell files that are wrong by them, and Python's
#: own way to leave docstrings out (-OO) would leave these out too.
FOLDERS = {"packages": False, "own": True, "stdlib": False, "stdlib-whole": True}
#: Of them, those that are unpacked once Python runs.
_PACKED = ("packages", "own")
_SUFFIX = ".pyc"
#: Of a compiled module: for which Python; that it is told by a hash which nobody compares; the hash (PEP 552).
_HEAD = MAGIC_NUMBER + (1).to_bytes(4, "little") + bytes(8)
#: Of zstd: the highest, as a build is made once.
_LEVEL = 22


def compile_folder(folder: Path, *, keeps_docstrings: bool) -> bool:
    """Put a compiled module in the place of each source; False when one could not be compiled, which stays."""
    are_all = True
    for source in sorted(folder.rglob("*.py")):
        name = source.relative_to(folder).as_posix()
        try:
            tree = ast.parse(source.read_bytes(), name)
        except SyntaxError as error:
            print(f"SyntaxError in {name}, line {error.lineno}: {error.msg}", file=sys.stderr)
            are_all = False
            continue
        if not keeps_docstrings:
            _take_docstrings(tree)
        code = compile(tree, name, "exec", dont_inherit=True, optimize=0)
        source.with_suffix(_SUFFIX).write_bytes(_HEAD + marshal.dumps(code))
        source.unlink()
    return are_all


def _take_docstrings(tree: ast.AST) -> None:
    """Take the docstrings out of a module's tree; what would be left empty passes."""
    for node in ast.walk(tree):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)):
            match node.body:
                case [ast.Expr(value=ast.Constant(value=str())) as words, *rest]:
                    node.body = rest or [ast.copy_location(ast.Pass(), words)]


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

    for name, keeps_docstrings in FOLDERS.items():
        if not compile_folder(work / name, keeps_docstrings=keeps_docstrings):
            raise SystemExit(f"a module of {name} could not be compiled")
    packed = pack_folders([work / name for name in _PACKED])
    (work / "packages.tar.zst").write_bytes(zstd.compress(packed, _LEVEL))


if __name__ == "__main__":
    _main(Path("/work"))
