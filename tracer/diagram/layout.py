"""Who lays the diagram out: Graphviz, as a program of this machine, or as whatever a caller has for it.

The program is ``dot`` of the machine, else the one that the package graphviz-pure brings.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import sysconfig
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

from graphviz.backend import ExecutableNotFound, dot_command, pipe

from tracer.base.errors import EmitError

__all__ = ["Layout", "drawing_by", "laid_out"]

#: A Graphviz text and a form (``svg``, ``png``) -> the picture; raises EmitError.
Layout = Callable[[str, str], bytes]
_LAYOUT: ContextVar[Layout | None] = ContextVar("layout", default=None)
_HOW_TO_GET = (
    "install Graphviz (its installer, or apt install graphviz), or on a machine of 64 bits pip "
    "install graphviz-pure; rgbroots diagram BOARD -o NAME.dot writes the picture as a text for it"
)


@contextmanager
def drawing_by(layout: Layout | None) -> Iterator[None]:
    """Let `layout` draw what is drawn inside: where no program can be started, as in a browser."""
    token = _LAYOUT.set(layout)
    try:
        yield
    finally:
        _LAYOUT.reset(token)


def _programs() -> Iterator[str]:
    """Graphviz programs of this machine, the one to take first in front."""
    if shutil.which("dot"):
        yield "dot"
    for folder in (Path(sys.executable).parent, Path(sysconfig.get_path("scripts"))):
        for name in ("graphviz-pure", "graphviz-pure.exe"):
            if (folder / name).is_file():
                yield str(folder / name)
                return
    if found := shutil.which("graphviz-pure"):
        yield found


def laid_out(source: str, form: str) -> bytes:
    """A picture of a Graphviz text, from what `drawing_by` names, else from the first program that draws it.

    Raises
    ------
    EmitError
        No Graphviz is there, or it failed.
    """
    if (layout := _LAYOUT.get()) is not None:
        return layout(source, form)
    said = "no Graphviz program is installed: there is no diagram, and all else is as always (map, card, page ...)"
    before = dot_command.DOT_BINARY
    for program in _programs():
        dot_command.DOT_BINARY = Path(program)
        try:
            return bytes(pipe("dot", form, source.encode("utf-8"), quiet=True))
        except (ExecutableNotFound, OSError) as error:
            said = f"Graphviz could not be started: {error}"
        except subprocess.CalledProcessError as error:
            lines = (error.stderr or b"").decode("utf-8", "replace").strip().splitlines()
            said = f"Graphviz could not draw it: {lines[0] if lines else error.returncode}"
        finally:
            dot_command.DOT_BINARY = before
    raise EmitError(said, fix=_HOW_TO_GET)
