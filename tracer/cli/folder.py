"""The folder that `trace -o` writes: the map, its diagram, the card and the page."""

from __future__ import annotations

import sys
from pathlib import Path

from tracer.base.errors import EmitError
from tracer.base.write import make_folder, write_whole
from tracer.card.make import make_card
from tracer.cli.card import write_card
from tracer.cli.inputs import working
from tracer.cli.outputs import emit
from tracer.page.report import report_text
from tracer.tracing.pipeline import Traced

__all__ = ["write_folder"]

#: Output of `tracer.cli.outputs.OUTPUTS` -> file name.
_MAP_FILES = {"json": "map.json", "csv": "map.csv", "svg": "diagram.svg", "png": "diagram.png"}


def write_folder(folder: Path, traced: Traced, load_ohm: float | None) -> None:
    """Write all files; one that cannot be made is said, and the others are written."""
    make_folder(folder)
    not_drawn: list[str] = []
    written: list[str] = []
    said: set[str] = set()
    for form, name in _MAP_FILES.items():
        try:
            with working(f"drawing {name}"):
                content = emit(form, traced.bit_map)
        except EmitError as error:
            # What both pictures lack is said once.
            if str(error) not in said:
                print(error, file=sys.stderr)
            said.add(str(error))
            not_drawn.append(name)
            continue
        write_whole(folder / name, content)
        written.append(name)
    with working("computing what the card shows"):
        card = make_card(traced, load_ohm)
    try:
        write_card(card, folder / "card.pdf")
        written.append("card.pdf")
    except EmitError:
        write_card(card, folder / "card.html")
        written.append("card.html")
    with working("computing levels and faults, drawing the page"):
        page = report_text(traced, load_ohm)
    write_whole(folder / "report.html", page)
    written.append("report.html")
    if not_drawn:
        print(f"all else is as always, without {' and '.join(not_drawn)}", file=sys.stderr)
    print(f"wrote {', '.join(written)} in {folder}", file=sys.stderr)
