"""Text of structural Verilog -> modules. The form is `grammars/verilog.lark`."""

from __future__ import annotations

import re

from tracer.importers.statements import read_statements
from tracer.importers.text import Positions
from tracer.importers.verilog.modules import Module, Source
from tracer.importers.verilog.statements import StatementReader
from tracer.importers.verilog.tokens import COMPUTES

__all__ = ["read_source"]

_WANTED = {
    "MODULE": "module",
    "END_MODULE": "endmodule",
    "DECLARATION": "input, output or wire",
    "ASSIGN": "assign",
    "INSTANCE": "an instance that ends in a semicolon",
    "DIRECTIVE": "a directive",
}

_BLANKED = re.compile(r'\\\S+|"(?:[^"\\\n]|\\.)*"|(//[^\n]*|/\*[\s\S]*?\*/|\(\*(?!\s*\))[\s\S]*?\*\))|(/\*)')


def read_source(positions: Positions) -> Source:
    """Read all modules.

    Raises
    ------
    NetlistError
        Something that is not structural, a statement that is not whole, or a module that stands there twice.
    """
    text = _BLANKED.sub(lambda m: _blank(m, positions), positions.text)
    source = Source()
    module: Module | None = None
    for statement in read_statements("verilog", Positions(text, positions.file), _WANTED):
        kind, at = statement.type, statement.start_pos or 0
        if kind == "REFUSED":
            raise positions.error(
                f"this Verilog computes ({statement.split(None, 1)[0]} ...); a netlist holds only wires and instances",
                at,
                COMPUTES,
            )
        if kind == "DIRECTIVE":
            _directive(str(statement), at, positions, source)
        elif kind == "MODULE":
            begun = StatementReader(positions, statement, at).module()
            if begun.name in source.modules:
                raise positions.error(
                    f"a second module is called {begun.name}", at, "give one of the two another name"
                )
            begun.n_bits = module.n_bits if module is not None else 0
            source.modules[begun.name] = module = begun
        elif module is not None and kind == "DECLARATION":
            StatementReader(positions, statement, at, module).declaration(module)
        elif module is not None and kind == "ASSIGN":
            StatementReader(positions, statement, at, module).assign(module)
        elif module is not None and kind == "INSTANCE":
            StatementReader(positions, statement, at, module).instances(module)
        elif kind == "SETTING":
            source.skipped[statement.split()[0]] += 1
    return source


def _blank(match: re.Match[str], positions: Positions) -> str:
    if match[2]:
        raise positions.error("this comment does not end", match.start(), "close it with */")
    return re.sub(r"[^\n]", " ", match[0]) if match[1] else match[0]


def _directive(text: str, at: int, positions: Positions, source: Source) -> None:
    word = text[1:].split(" ", 1)[0].strip()
    if word in ("ifdef", "ifndef", "elsif", "else", "endif", "include"):
        raise positions.error(f"`{word} chooses or brings in text, which this reader cannot do", at, COMPUTES)
    if word == "define":
        source.skipped["`define"] += 1
