"""Outputs: one module each, a function of a value; chosen by `OUTPUTS`.

Adding an output = one module with ``emit(bit_map) -> str | bytes`` + one row.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Literal, cast, overload

from tracer.base.errors import UsageError
from tracer.bitmap.model import BitMap

__all__ = ["OUTPUTS", "Output", "emit"]


@dataclass(frozen=True, slots=True)
class Output:
    """A form in which a map can be written.

    Attributes
    ----------
    name : str
        Of the form.
    suffix : str
        Of its file.
    module : str
        Dotted name of the module with its ``emit``.
    what : str
        A few words.
    """

    name: str
    suffix: str
    module: str
    what: str


OUTPUTS: tuple[Output, ...] = (
    Output("terminal", ".txt", "tracer.bitmap.terminal", "the map as a table for the terminal"),
    Output("json", ".json", "tracer.bitmap.json", "the map as JSON, format rgbroots-map version 1"),
    Output("csv", ".csv", "tracer.bitmap.csv", "one row a path, for spreadsheets"),
    Output("svg", ".svg", "tracer.diagram.diagram", "the diagram as SVG"),
    Output("png", ".png", "tracer.diagram.diagram", "the diagram as PNG"),
    Output("dot", ".dot", "tracer.diagram.diagram", "the diagram as Graphviz text"),
)


@overload
def emit(name: Literal["png"], bit_map: BitMap) -> bytes: ...
@overload
def emit(name: Literal["terminal", "json", "csv", "svg", "dot"], bit_map: BitMap) -> str: ...
@overload
def emit(name: str, bit_map: BitMap) -> str | bytes: ...
def emit(name: str, bit_map: BitMap) -> str | bytes:
    """Write a map in one of the forms of `OUTPUTS`: a text, or bytes for ``png``.

    Raises
    ------
    UsageError
        No form is called so.
    EmitError
        Graphviz is needed to draw it, and failed.
    """
    output = next((o for o in OUTPUTS if o.name == name), None)
    if output is None:
        raise UsageError(
            f"a map cannot be written as {name!r}", fix=f"the forms are: {', '.join(o.name for o in OUTPUTS)}"
        )
    module = import_module(output.module)
    if output.module == "tracer.diagram.diagram":
        return cast(Callable[[BitMap, str], str | bytes], module.emit)(bit_map, name)
    return cast(Callable[[BitMap], str | bytes], module.emit)(bit_map)
