"""Colours of nets in a KiCad project: what the board editor shows on tracks, pads and zones.

The board's own file has no colours of nets. KiCad 6 and later keep them in the project (``net_settings.net_colors``, by the
name of the net) and show them on copper where the project's local settings say so (``board.net_color_mode`` 0; its
source, ``NET_COLOR_MODE``: all, ratsnest, off).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from tracer.base.errors import EmitError
from tracer.importers.kicad.board import parse
from tracer.importers.text import decode
from tracer.mark.values import BoardMarks, Carried, style_of
from tracer.netlist.board import PinRef

__all__ = ["local_settings", "net_colours", "project_with"]

_ON_COPPER = 0


def net_colours(data: bytes, file: str, marks: BoardMarks, board: str = "") -> dict[str, str]:
    """Net of a board's file -> its colour as the project has it; `board` as in `tracer.mark.sheet.mark_sheet`."""
    before = f"{board}:" if board else ""
    found: dict[str, str] = {}
    for net in parse(decode(data, file)[0], file, file).nets:
        pins = (PinRef(before + pin.part, pin.pin) for pin in net.pins)
        carried: Carried | None = next((c for pin in pins if (c := marks.nets.get(pin))), None)
        if carried:
            rgb = style_of(carried, marks.styles).colour
            red, green, blue = (int(rgb[i : i + 2], 16) for i in (1, 3, 5))
            found[net.name] = f"rgb({red}, {green}, {blue})"
    return found


def project_with(project: bytes | None, file: str, colours: Mapping[str, str]) -> bytes:
    """A project file with these colours of nets, and all else as it was.

    Raises
    ------
    EmitError
        The file is no project of KiCad 6 or later.
    """
    whole = _object(project, file)
    settings = whole.setdefault("net_settings", {})
    if not isinstance(settings, dict):
        raise _no_project(file)
    kept = settings.get("net_colors")
    settings["net_colors"] = {**(kept if isinstance(kept, dict) else {}), **colours}
    return _written(whole)


def local_settings(settings: bytes | None, file: str) -> bytes:
    """A project's local settings with colours of nets shown on copper, and all else as it was.

    Raises
    ------
    EmitError
        The file holds something else.
    """
    whole = _object(settings, file)
    board = whole.setdefault("board", {})
    if not isinstance(board, dict):
        raise _no_project(file)
    board["net_color_mode"] = _ON_COPPER
    return _written(whole)


def _object(data: bytes | None, file: str) -> dict[str, Any]:
    try:
        found = json.loads(data) if data is not None else {}
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise _no_project(file)
    return found


def _written(whole: Mapping[str, Any]) -> bytes:
    text = json.dumps(whole, indent=2, ensure_ascii=False) + "\n"
    return text.encode("utf-8", errors="backslashreplace")


def _no_project(file: str) -> EmitError:
    return EmitError(
        "this is no project of KiCad 6 or later, so the colours cannot be put into a copy of it",
        file=file,
        fix="open and save the board in KiCad, or move this file away",
    )
