"""Where the nets of a schematic are drawn: the same that its netlist says."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.unit.importers.kicad.sheets import Sheet
from tracer.importers.kicad.drawn import read_drawing


def test_a_wire_has_the_net_of_the_pins_that_it_joins(tmp_path: Path) -> None:
    sheet = Sheet()
    sheet.pin("R1", (50.8, 50.8))
    sheet.wire((50.8, 50.8), (60.96, 50.8), (60.96, 60.96))
    sheet.label("X", (60.96, 60.96))
    sheet.wire((10.16, 10.16), (20.32, 10.16))
    drawing = read_drawing(sheet.write(tmp_path))
    [placed] = drawing.placed
    assert set(placed.wires.values()) == {"/X"} == {net.name for net in drawing.netlist.nets}
    assert len(placed.wires) == 3
    assert list(placed.labels.values()) == ["/X"]


def test_a_label_on_a_bus_is_of_no_net(tmp_path: Path) -> None:
    sheet = Sheet()
    sheet.bus((50.8, 50.8), (50.8, 101.6))
    sheet.label("D[0..7]", (50.8, 50.8))
    sheet.pin("R1", (20.32, 20.32))
    assert read_drawing(sheet.write(tmp_path)).placed[0].labels == {}


@pytest.mark.parametrize("angle", [0, 90, 180, 270])
@pytest.mark.parametrize("mirror", ["", "x", "y"])
def test_the_way_off_the_body_turns_with_the_symbol(angle: int, mirror: str, tmp_path: Path) -> None:
    """The second leg of this body stands above the first: the way from one to the other turns alike."""
    sheet = Sheet()
    sheet.part("NAMED", "U1", (50.8, 50.8), angle=angle, mirror=mirror)
    first, second = read_drawing(sheet.write(tmp_path)).placed[0].symbols[0].legs
    up = ((second.at[0] - first.at[0]) // 50800, (second.at[1] - first.at[1]) // 50800)
    # Both legs enter the body to the right (angle 0): off it is left, a quarter left of up, or right where mirrored.
    left = (up[1], -up[0])
    assert first.off in ((left,) if not mirror else ((-left[0], -left[1]),))
    assert first.off == second.off
