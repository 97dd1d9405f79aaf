"""Readers: one module a format, chosen by what a file holds.

Adding a format = one module with ``parse(text, file, name) -> Netlist`` (and a
grammar in `grammars/` where one fits) + one row of `FORMATS`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import cast

from tracer.base.errors import NetlistError, UsageError
from tracer.base.findings import Finding
from tracer.base.names import nearest
from tracer.base.no_collecting import no_collecting
from tracer.importers.formats import FORMATS, Format
from tracer.importers.refused import refuse_text
from tracer.importers.text import decode, read_bytes
from tracer.importers.visible_names import with_visible_names
from tracer.netlist.board import Input, Netlist

__all__ = ["FORMATS", "Format", "detect", "parse_netlist", "read_netlist"]

#: Name of a subcircuit, in any case of letters -> its legs in the order of its nodes.
PinTables = Mapping[str, Sequence[str]]

#: How much of a text decides what it is.
SNIFFED = 1 << 18


def detect(text: str, file: str) -> Format:
    """Tell the format of a text by what it holds, never by its file name.

    Raises
    ------
    NetlistError
        It is a known file that holds no netlist, or nothing that is known.
    """
    head = text[:SNIFFED]
    for form in FORMATS:
        if not form.loose and form.fits(head):
            return form
    if refused := refuse_text(head):
        raise NetlistError(f"this is {refused[0]}", file=file, fix=refused[1])
    for form in FORMATS:
        if form.loose and form.fits(head):
            return form
    raise NetlistError(
        "nothing in this file tells that it is a netlist or a schematic",
        file=file,
        line=1,
        fix="`rgbroots help formats` lists what can be read; if it is one of those, name it with --format",
    )


def _format(name: str) -> Format:
    for form in FORMATS:
        if form.name == name:
            return form
    names = [form.name for form in FORMATS]
    raise UsageError(
        f"there is no format called {name}", fix=f"{nearest(name, names)}the formats are: {', '.join(names)}"
    )


def parse_netlist(
    text: str,
    file: str = "text",
    *,
    name: str | None = None,
    format_name: str | None = None,
    spice_pins: PinTables | None = None,
) -> Netlist:
    """Read the text of a netlist that lies in one piece; `file` is what it is called in messages.

    `spice_pins` tells the legs of subcircuits in a SPICE deck, in the order of their nodes.

    Raises
    ------
    NetlistError
        It cannot be read.
    UsageError
        `format_name` is not a format, or is one whose reader must follow to other files.
    """
    form = _format(format_name) if format_name else detect(text, file)
    return with_visible_names(_parsed(text, file, name, form, spice_pins))


def _parsed(text: str, file: str, name: str | None, form: Format, spice_pins: PinTables | None) -> Netlist:
    if form.from_file:
        raise UsageError(f"a {form.what} is read from its file, not from a text", fix="use read_netlist")
    parse = cast(Callable[..., Netlist], import_module(form.module).parse)
    own = {"spice_pins": spice_pins} if "spice_pins" in form.takes else {}
    return parse(text, file, name or Path(file).stem, **own)


def read_netlist(
    path: str | Path,
    *,
    format_name: str | None = None,
    encoding: str | None = None,
    name: str | None = None,
    spice_pins: PinTables | None = None,
) -> Netlist:
    """Read one file, of whatever form; `spice_pins` as in `parse_netlist`.

    Raises
    ------
    NetlistError
        It cannot be read; says what, where and what to do.
    """
    path = Path(path)
    data = read_bytes(path)
    try:
        file = path.name
        text, findings = decode(data, file, encoding)
        with no_collecting():
            form = _format(format_name) if format_name else detect(text, file)
            return _read(path, data, text, findings, form, encoding, name, spice_pins)
    except NetlistError as error:
        # What the board keeps knows its files by name; who mends one wants the way to it.
        if error.file in (None, path.name):
            error.file = str(path)
        raise


def _read(
    path: Path,
    data: bytes,
    text: str,
    findings: tuple[Finding, ...],
    form: Format,
    encoding: str | None,
    name: str | None,
    spice_pins: PinTables | None,
) -> Netlist:
    file, board = path.name, name or path.stem
    if form.from_file:
        read = cast(
            Callable[..., tuple[Netlist, Sequence[tuple[str, bytes]]]], import_module(form.module).read
        )
        netlist, sheets = read(path, board, **({"encoding": encoding} if "encoding" in form.takes else {}))
    else:
        netlist = _parsed(text, file, board, form, spice_pins)
        sheets = ((file, data),)
    inputs = tuple(Input(f, form.name, hashlib.sha256(d).hexdigest()) for f, d in sheets)
    return with_visible_names(replace(netlist, inputs=inputs, findings=(*findings, *netlist.findings)))
