"""The engine as it is started inside a browser: what the page's worker hands over becomes what the engine takes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tracer.base.errors import EmitError
from tracer.web.engine import Engine

__all__ = ["start"]

#: In the file system that the runtime has in memory.
_DESK = Path("/desk")


def start(draw: Callable[[str], str], tell: Callable[[str], None]) -> Engine:
    """An engine whose pictures the page draws.

    Parameters
    ----------
    draw : callable
        A Graphviz text -> an SVG; a function of JavaScript, whose errors are exceptions of whatever class.
    tell : callable
        Gets what is being done.
    """

    def layout(source: str, form: str) -> bytes:
        if form != "svg":
            raise EmitError(f"a browser draws no {form}", fix="save the diagram as SVG")
        try:
            return draw(source).encode("utf-8")
        except Exception as error:
            raise EmitError(
                f"Graphviz could not draw it: {error}", fix="the map holds all that it would show"
            ) from None

    return Engine(_DESK, layout, tell)
