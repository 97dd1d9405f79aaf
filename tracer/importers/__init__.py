"""Readers: one module a format, chosen by what a file holds.

Adding a format = one module with ``parse(text, file, name) -> Netlist`` (and a
grammar in `grammars/` where one fits) + one row of `FORMATS`.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from importlib import import_module
from pathlib import Path
from typing import cast

from tracer.errors import NetlistError, UsageError
from tracer.importers.text import decode, read_bytes
from tracer.netlist import Input, Netlist

__all__ = ["FORMATS", "Format", "detect", "parse_netlist", "read_netlist"]

#: How much of a text decides what it is.
SNIFFED = 1 << 18


@dataclass(frozen=True, slots=True)
class Format:
    """A format that can be read.

    Attributes
    ----------
    name : str
        As written on the command line and in the map.
    what : str
        A few words.
    sniff : Pattern
        Found in the head of every file of this format.
    module : str
        Dotted name of the module with its ``parse``.
    from_file : bool
        The reader needs the file's place, as it follows to other files.
    loses : tuple of str
        Facts the format cannot carry.
    """

    name: str
    what: str
    sniff: re.Pattern[str]
    module: str
    from_file: bool = False
    loses: tuple[str, ...] = ()


#: In the order in which they are tried.
FORMATS: tuple[Format, ...] = (
    Format(
        "kicad-netlist",
        "KiCad netlist, KiCad 4 and later",
        re.compile(r"\A\s*\(\s*export\b"),
        "tracer.importers.kicad_net",
    ),
    Format(
        "kicad-schematic",
        "KiCad schematic with its sheets, KiCad 6 and later",
        re.compile(r"\A\s*\(\s*kicad_sch\b"),
        "tracer.importers.kicad_sch",
        from_file=True,
    ),
    Format(
        "bench-notes",
        "bench notes",
        re.compile(
            r"\A(?:[ \t]*(?:#[^\n]*)?\n)*[ \t]*(?:board[ \t]+\S|(?:seen|read|swapped|measured)[ \t]+\S"
            r"|[^\s,;|=]+[ \t]+is[ \t]+\S|(?:(?:\"[^\"\n]+\"|[^\s,;|=]+):[ \t]+)?[^\s=,;|]+\.[^\s=,;|]+[^\n=,;|]*[ \t]!?=[ \t])",
            re.IGNORECASE,
        ),
        "tracer.importers.bench_notes",
        loses=("libraries and footprints of parts",),
    ),
    Format(
        "table",
        "CSV or TSV table",
        # Title lines may stand above the header.
        re.compile(r"\A(?:[^\n]*\n){0,12}?[^\n]*[,;\t|]"),
        "tracer.importers.table",
        loses=("pin directions",),
    ),
)

#: Files that are known but hold no netlist, or none that can be read: what they are, and the way round.
REFUSED: tuple[tuple[re.Pattern[str], str, str], ...] = (
    (
        re.compile(r"\A\s*\(\s*kicad_symbol_lib\b"),
        "a KiCad symbol library",
        "give the schematic or its netlist",
    ),
    (
        re.compile(r"\A\s*\(\s*footprint\b|\A\s*\(\s*module\b"),
        "a KiCad footprint",
        "give the schematic or its netlist",
    ),
    (
        re.compile(r"\A\s*\(\s*kicad_pcb\b"),
        "a KiCad board",
        "export a netlist from the schematic (File, Export, Netlist); boards are not read yet",
    ),
    (
        re.compile(r"\AEESchema Schematic File"),
        "a KiCad schematic of version 5 or older",
        "open and save it once in KiCad 6 or later, or export its netlist",
    ),
    (re.compile(r"\A%PDF-"), "a PDF", "a picture of a schematic cannot be read; type it as a table"),
    (re.compile(r"\A\s*<\?xml|\A\s*<"), "an XML file", "export a KiCad netlist or a table instead"),
    (re.compile(r"\A\s*\{"), "a JSON file", "a saved map is read by `rgbroots check` and `rgbroots diagram`"),
)


def detect(text: str, file: str) -> Format:
    """Tell the format of a text by what it holds, never by its file name.

    Raises
    ------
    NetlistError
        It is a known file that holds no netlist, or nothing that is known.
    """
    head = text[:SNIFFED]
    for form in FORMATS:
        if form.name != "table" and form.sniff.search(head):
            return form
    for pattern, what, fix in REFUSED:
        if pattern.search(head):
            raise NetlistError(f"this is {what}", file=file, fix=fix)
    table = _format("table")
    if table.sniff.search(head):
        return table
    raise NetlistError(
        "this is no netlist that can be read",
        file=file,
        line=1,
        fix="README lists the forms that can be read; if it is one of them, name it with --format",
    )


def _format(name: str) -> Format:
    for form in FORMATS:
        if form.name == name:
            return form
    raise UsageError(
        f"there is no format called {name}", fix="the formats are: " + ", ".join(f.name for f in FORMATS)
    )


def parse_netlist(
    text: str, file: str, *, name: str | None = None, format_name: str | None = None
) -> Netlist:
    """Read the text of a netlist that lies in one piece.

    Raises
    ------
    NetlistError
        It cannot be read.
    UsageError
        `format_name` is not a format, or is one whose reader must follow to other files.
    """
    form = _format(format_name) if format_name else detect(text, file)
    if form.from_file:
        raise UsageError(f"a {form.what} is read from its file, not from a text", fix="use read_netlist")
    parse = cast(Callable[[str, str, str], Netlist], import_module(form.module).parse)
    return parse(text, file, name or Path(file).stem)


def read_netlist(
    path: str | Path, *, format_name: str | None = None, encoding: str | None = None, name: str | None = None
) -> Netlist:
    """Read one file, of whatever form.

    Raises
    ------
    NetlistError
        It cannot be read; says what, where and what to do.
    """
    path = Path(path)
    data = read_bytes(path)
    try:
        return _read(path, data, format_name, encoding, name)
    except NetlistError as error:
        # What the board keeps knows its files by name; who mends one wants the way to it.
        if error.file == path.name:
            error.file = str(path)
        raise


def _read(
    path: Path, data: bytes, format_name: str | None, encoding: str | None, name: str | None
) -> Netlist:
    file = path.name
    text, findings = decode(data, file, encoding)
    form = _format(format_name) if format_name else detect(text, file)
    board = name or path.stem
    if form.from_file:
        read = cast(
            Callable[[Path, str], tuple[Netlist, Sequence[tuple[str, bytes]]]],
            import_module(form.module).read,
        )
        netlist, sheets = read(path, board)
    else:
        netlist, sheets = parse_netlist(text, file, name=board, format_name=form.name), ((file, data),)
    inputs = tuple(Input(f, form.name, hashlib.sha256(d).hexdigest()) for f, d in sheets)
    return replace(netlist, inputs=inputs, findings=(*findings, *netlist.findings))
