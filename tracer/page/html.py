"""A board's page: one HTML file with the diagram, the legs, faults and what else is known of the board.

Nothing is fetched: style and script stand in the file, and a content security
policy (W3C, Content Security Policy Level 3) grants only this script, by its
hash. Every text from a file goes through the template's escaping or through
`page_as_json`; the script writes text only, never mark-up.
"""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from tracer.base.errors import EmitError
from tracer.base.text import clean
from tracer.base.units import format_ohm
from tracer.diagram.diagram import emit as draw
from tracer.page.items import Items
from tracer.page.json import page_as_json
from tracer.page.svg import prepared
from tracer.page.swatches import Swatches, swatches_of
from tracer.page.tables import colour_tables, index_tables, part_tables
from tracer.page.values import BoardPage
from tracer.place.make import WHAT_WOULD_PLACE
from tracer.place.svg import emit as draw_places
from tracer.suspects.terminal import suspect_lines

__all__ = ["emit", "script_hash"]

#: In this order; see the head of each.
_SCRIPTS = ("reasoning.js", "fit.js", "page.js", "ramps.js", "chip.js", "ask.js", "start.js")
#: Longest board name in the title of the window.
_TITLE = 50


@dataclass(frozen=True, slots=True)
class _Said:
    """A line of evidence or a finding."""

    kind: str
    text: str
    where: str = ""


def emit(page: BoardPage, *, printed: str = "") -> str:
    """The page as HTML text.

    Parameters
    ----------
    page : BoardPage
    printed : str
        HTML that is shown at print instead of the page; trusted, as it comes from another output.

    Returns
    -------
    str
        The same page gives the same text, with the same Graphviz program.
    """
    items = Items(page)
    diagram, no_diagram = _diagram(page, items)
    data, script, style = page_as_json(page, items), _script(), _asset("page.css")
    environment = Environment(
        loader=PackageLoader("tracer.page", "assets"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    bit_map = page.bit_map
    values: dict[str, Any] = {
        "map": bit_map,
        "name": clean(bit_map.name),
        "title": clean(bit_map.name)[:_TITLE],
        "policy": f"default-src 'none'; style-src 'unsafe-inline'; script-src '{script_hash()}'; img-src data:; base-uri 'none'; form-action 'none'",
        "style": Markup(style),
        "script": Markup(script),
        "data": Markup(data),
        "diagram": Markup(diagram),
        "no_diagram": no_diagram,
        "printed": Markup(printed),
        "load": _load(page.load_ohm),
        "colours": colour_tables(items),
        "parts": part_tables(items),
        "indexes": index_tables(items),
        "findings": [_Said(f.severity, clean(f.text)) for f in _findings(page)],
        "evidence": [_Said(e.kind, clean(e.words), clean(", ".join(e.where))) for e in page.evidence],
        "suspects": page.suspects,
        "suspect_lines": [] if page.suspects is None else suspect_lines(page.suspects),
        "place_view": Markup(draw_places(page.place_view, bit_map)) if page.place_view else "",
        "no_place_view": WHAT_WOULD_PLACE,
        "chip_levels": page.levels.chip_levels,
        "n_faults": len(page.faults),
        "swatches": _swatches(page),
        "palette_words": [clean(w) for w in page.palette_words],
        "inputs": [(clean(i.file), clean(i.format), clean(i.sha256)) for i in bit_map.inputs],
    }
    return environment.get_template("page.html.jinja").render(values)


def script_hash() -> str:
    """The hash of the page's script as a policy names it (``sha256-...``): over what stands between the tags."""
    return "sha256-" + base64.b64encode(hashlib.sha256(_script().encode("utf-8")).digest()).decode("ascii")


@cache
def _script() -> str:
    """The scripts as one: each uses what those before it made, and nothing of them is seen outside."""
    # Lines begin without their blanks: a page is sent about, and nothing in it spans lines.
    body = re.sub(r"(?m)^ +", "", "".join(map(_asset, _SCRIPTS)))
    return f'"use strict";\n(function () {{\n{body}}})();\n'


def _asset(name: str) -> str:
    return (files("tracer.page") / "assets" / name).read_text(encoding="utf-8")


def _diagram(page: BoardPage, items: Items) -> tuple[str, str]:
    """The picture, or why there is none."""
    try:
        drawn = draw(page.bit_map, "svg")
    except EmitError as error:
        return "", clean(str(error))
    return prepared(str(drawn), items), ""


def _findings(page: BoardPage) -> list[Any]:
    found = [*page.bit_map.findings, *page.levels.findings]
    found += page.palette.findings if page.palette else ()
    return sorted(dict.fromkeys(found), key=lambda f: f.severity != "warning")


def _swatches(page: BoardPage) -> Swatches | None:
    return swatches_of(page.palette) if page.palette else None


def _load(ohm: float | None) -> str:
    if ohm is None:
        return "without a load"
    return f"into {ohm:g} ohm" if ohm < 1000 else f"into {format_ohm(ohm)} ohm"
