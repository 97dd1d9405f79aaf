"""Loading of the grammars in `grammars/`."""

from __future__ import annotations

from functools import cache

from lark import Lark

from tracer.base.data_folder import data_folder

__all__ = ["load_grammar"]


@cache
def load_grammar(name: str, start: str = "start") -> Lark:
    """The parser of one grammar file: LALR. Words keep their places for messages; rules need none (a fifth of the time)."""
    folder = data_folder("grammars")
    text = (folder / f"{name}.lark").read_text(encoding="utf-8")
    shared = (folder / "terminals.lark").read_text(encoding="utf-8")
    # The shared terminals are put in as text, so that a grammar needs no real path (a zip has none).
    text = "\n".join(line for line in text.splitlines() if not line.startswith("%import ."))
    return Lark(text + "\n" + shared, parser="lalr", start=start, maybe_placeholders=False)
