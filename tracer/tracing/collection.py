"""For collections of boards: from a file to its map as plain data, in whatever process."""

from __future__ import annotations

import traceback
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from tracer.base.errors import TracerError
from tracer.base.json_form import Count, Document, Key, OrNone, Record, Text
from tracer.bitmap.json import MAP
from tracer.importers import read_netlist
from tracer.parts.library import Library
from tracer.tracing.load import LoadTold
from tracer.tracing.pipeline import trace

__all__ = ["ERROR", "map_file"]


class _Failed(NamedTuple):
    error: str
    what: str
    fix: str | None
    file: str
    line: int | None = None
    column: int | None = None


ERROR = Document(
    "error",
    "What kept a file's map from being made.",
    Record(
        _Failed,
        Key("error", Text(), "The kind of mistake; InternalError: a bug of the program."),
        Key("what", Text(), "What is wrong."),
        Key("fix", OrNone(Text()), "What to do."),
        Key("file", Text()),
        Key("line", OrNone(Count()), "From 1."),
        Key("column", OrNone(Count()), "From 1."),
    ),
)


def map_file(
    path: str | Path,
    library: Library | None = None,
    *,
    pins: Mapping[str, str] | None = None,
    load_ohm: LoadTold = "noted",
    format_name: str | None = None,
    encoding: str | None = None,
) -> dict[str, Any]:
    """Trace one file; the map, or what kept it from being made, as dicts, lists, texts and numbers.

    A bad file raises nothing: pools and engines end a whole run at the first exception, and one file of
    two thousand is not worth the others. What it gives is told apart by its ``format``.

    Parameters
    ----------
    path : str or Path
        A netlist, schematic, table or bench notes.
    library, pins, load_ohm
        As of `trace`.
    format_name, encoding
        As of `read_netlist`.

    Returns
    -------
    dict
        ``rgbroots-map``, as ``trace --json`` prints it; or ``rgbroots-error``, in which ``error`` is the class of the
        `TracerError` and the others are its attributes. An ``InternalError`` is a bug of this program, with its place.
    """
    try:
        netlist = read_netlist(path, format_name=format_name, encoding=encoding)
        return MAP.data(trace(netlist, library, pins=pins, load_ohm=load_ohm))
    except TracerError as error:
        file = str(error.file or path)
        failed = _Failed(type(error).__name__, error.what, error.fix, file, error.line, error.column)
    except Exception as error:
        # Of the other files' maps none must be lost for it.
        last = traceback.extract_tb(error.__traceback__)[-1]
        what = f"{type(error).__name__}: {error} ({Path(last.filename).name}, line {last.lineno})"
        failed = _Failed("InternalError", what, "this is a bug: report it with the file", str(path))
    return ERROR.data(failed)
