"""A card as PDF by ReportLab (the optional extra ``pdf``): fonts embedded, text kept as text.

The faces are those that the library brings along (Bitstream Vera Sans), so that a card looks the same on every
machine. Letters that they lack are printed as ``?``; the HTML form has them.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tracer.base.errors import EmitError
from tracer.card.metrics import SQUEEZE
from tracer.card.shapes import Box, Line, Page, Shape, Text

__all__ = ["pages_as_pdf", "without_glyph"]

_MM = 72.0 / 25.4
_FACES = {False: ("RgbrootsSans", "Vera.ttf"), True: ("RgbrootsSansBold", "VeraBd.ttf")}


def pages_as_pdf(pages: Sequence[Page], title: str) -> bytes:
    """The pages as PDF; the same pages give the same bytes.

    Raises
    ------
    EmitError
        ReportLab is not installed.
    """
    try:
        import reportlab
        from reportlab.pdfbase import pdfmetrics
        from reportlab.pdfbase.ttfonts import TTFont
        from reportlab.pdfgen.canvas import Canvas
    except ImportError:
        raise EmitError(
            "a PDF needs ReportLab, which is not installed",
            fix="pip install 'rgbroots[pdf]'; or write card.html, which any browser prints as PDF",
        ) from None
    folder = Path(reportlab.__file__).parent / "fonts"
    faces: dict[bool, Any] = {}
    for bold, (name, file) in _FACES.items():
        faces[bold] = TTFont(name, str(folder / file))
        pdfmetrics.registerFont(faces[bold])
    target = io.BytesIO()
    first = pages[0]
    canvas = Canvas(
        target,
        pagesize=(first.width * _MM, first.height * _MM),
        invariant=1,
        pageCompression=1,
        lang="en",
        initialFontName=_FACES[False][0],
    )
    canvas.setTitle(title)
    canvas.setCreator("rgbroots")
    canvas.setProducer("rgbroots")
    for page in pages:
        canvas.setPageSize((page.width * _MM, page.height * _MM))
        for shape in page.shapes:
            _draw(canvas, shape, page.height, faces)
        canvas.showPage()
    canvas.save()
    return target.getvalue()


def without_glyph(pages: Sequence[Page]) -> int:
    """How many letters of the pages the faces lack: as many ``?`` are in the PDF."""
    import reportlab
    from reportlab.pdfbase.ttfonts import TTFont

    file = Path(reportlab.__file__).parent / "fonts" / _FACES[False][1]
    known = TTFont("probe", str(file)).face.charToGlyph
    return sum(ord(c) not in known for p in pages for s in p.shapes if isinstance(s, Text) for c in s.text)


def _draw(canvas: Any, shape: Shape, high: float, faces: dict[bool, Any]) -> None:
    if isinstance(shape, Text):
        known = faces[shape.bold].face.charToGlyph
        text = canvas.beginText(shape.x * _MM, (high - shape.y) * _MM)
        text.setFont(_FACES[shape.bold][0], shape.size * _MM)
        text.setHorizScale(SQUEEZE * 100)
        text.setFillColor(shape.ink)
        text.textOut("".join(c if ord(c) in known else "?" for c in shape.text))
        canvas.drawText(text)
        return
    _pens(canvas, shape)
    if isinstance(shape, Box):
        canvas.rect(
            shape.x * _MM, (high - shape.y - shape.h) * _MM, shape.w * _MM, shape.h * _MM,
            stroke=int(shape.thick > 0), fill=int(shape.fill is not None),
        )  # fmt: skip
        return
    path = canvas.beginPath()
    for i, (x, y) in enumerate(shape.points):
        (path.lineTo if i else path.moveTo)(x * _MM, (high - y) * _MM)
    canvas.drawPath(path, stroke=int(shape.thick > 0), fill=int(shape.fill is not None))


def _pens(canvas: Any, shape: Box | Line) -> None:
    canvas.setLineWidth(shape.thick * _MM)
    canvas.setStrokeColor(shape.ink)
    if shape.fill is not None:
        canvas.setFillColor(shape.fill)
