"""Pages of a card as SVG: one page a picture, or all pages below one another in one file."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from tracer.card.metrics import SQUEEZE
from tracer.card.shapes import Box, Line, Page, Shape, Text

__all__ = ["page_as_svg", "pages_as_svg"]

_FACES = "'DejaVu Sans', 'Bitstream Vera Sans', Verdana, sans-serif"
_NAMESPACE = "http://www.w3.org/2000/svg"


def page_as_svg(page: Page, title: str) -> str:
    """One page as an `svg` element in its true size."""
    return _written(_picture([page], title))


def pages_as_svg(pages: Sequence[Page], title: str) -> str:
    """All pages in one file, below one another."""
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + _written(_picture(pages, title)) + "\n"


def _picture(pages: Sequence[Page], title: str) -> ET.Element:
    wide, high = max(p.width for p in pages), sum(p.height for p in pages)
    svg = ET.Element(
        "svg",
        {
            "xmlns": _NAMESPACE,
            "width": f"{_mm(wide)}mm",
            "height": f"{_mm(high)}mm",
            "viewBox": f"0 0 {_mm(wide)} {_mm(high)}",
            "font-family": _FACES,
        },
    )
    ET.SubElement(svg, "title").text = title
    y = 0.0
    for page in pages:
        group = ET.SubElement(svg, "g", {"transform": f"translate(0 {_mm(y)})"} if y else {})
        ET.SubElement(
            group, "rect", {"width": _mm(page.width), "height": _mm(page.height), "fill": "#ffffff"}
        )
        for shape in page.shapes:
            _add(group, shape)
        y += page.height
    return svg


def _add(group: ET.Element, shape: Shape) -> None:
    if isinstance(shape, Text):
        # Squeezed by a transform, as not every renderer knows condensed cuts; textLength then holds the text to its
        # room with whatever face there is.
        attributes = {
            "transform": f"translate({_mm(shape.x)} {_mm(shape.y)}) scale({SQUEEZE} 1)",
            "font-size": _mm(shape.size),
            "textLength": _mm(shape.width / SQUEEZE),
            "lengthAdjust": "spacingAndGlyphs",
        }
        if shape.bold:
            attributes["font-weight"] = "bold"
        if shape.ink != "#000000":
            attributes["fill"] = shape.ink
        ET.SubElement(group, "text", attributes).text = shape.text
    elif isinstance(shape, Box):
        attributes = {
            key: _mm(getattr(shape, name))
            for key, name in (("x", "x"), ("y", "y"), ("width", "w"), ("height", "h"))
        }
        ET.SubElement(group, "rect", attributes | _strokes(shape))
    else:
        points = " ".join(f"{_mm(x)},{_mm(y)}" for x, y in shape.points)
        ET.SubElement(group, "polyline", {"points": points} | _strokes(shape))


def _strokes(shape: Box | Line) -> dict[str, str]:
    strokes = {"fill": shape.fill or "none"}
    if shape.thick:
        strokes |= {"stroke": shape.ink, "stroke-width": _mm(shape.thick)}
    return strokes


def _mm(length: float) -> str:
    return f"{length:.3f}".rstrip("0").rstrip(".") or "0"


def _written(element: ET.Element) -> str:
    return ET.tostring(element, encoding="unicode", short_empty_elements=True)
