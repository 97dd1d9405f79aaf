"""Loading of the grammars in `grammars/`."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lark import Lark

__all__ = ["data_folder", "load_grammar"]


def data_folder(kind: str) -> Traversable:
    """The folder `grammars` or `netlists`: inside the installed package, else beside it in a checkout."""
    installed = files("tracer") / kind
    if installed.is_dir():
        return installed
    return Path(__file__).resolve().parent.parent.parent / kind


@cache
def load_grammar(name: str, start: str = "start") -> Lark:
    """The parser of one grammar file: LALR. Words keep their places for messages; rules need none (a fifth of the time)."""
    from lark import Lark

    folder = data_folder("grammars")
    text = (folder / f"{name}.lark").read_text(encoding="utf-8")
    shared = (folder / "terminals.lark").read_text(encoding="utf-8")
    # The shared terminals are put in as text, so that a grammar needs no real path (a zip has none).
    text = "\n".join(line for line in text.splitlines() if not line.startswith("%import ."))
    return Lark(text + "\n" + shared, parser="lalr", start=start, maybe_placeholders=False)
