"""One schematic file in colour."""

from __future__ import annotations

import re
from pathlib import Path
from uuid import UUID

import pytest

from tests.unit.importers.kicad.sheets import Sheet
from tests.unit.mark.marked import DEMOS, STYLES, demo_marks, everything
from tracer.base.errors import EmitError
from tracer.importers.kicad.drawn import Drawing, read_drawing
from tracer.importers.kicad.sheet_file import SheetFile
from tracer.importers.sexpr import Expr, parse_sexpr
from tracer.mark.edits import applied, undone
from tracer.mark.sheet import mark_sheet, sheet_edits
from tracer.mark.values import BoardMarks
from tracer.netlist.board import PinRef

FILES = [(root, file.name) for root in DEMOS for file in demo_marks(root)[0].files]
#: KiCad's words for what the command may change; what stands in them is not compared.
LOOKS = re.compile(r"\s*\((?:width|type|color) [^()]*\)")
KICAD_6 = 20211123


def of_demo(root: str, name: str) -> tuple[Drawing, SheetFile, BoardMarks, str]:
    drawing, marks, board = demo_marks(root)
    return drawing, next(f for f in drawing.files.values() if f.path.name == name), marks, board


def marked_text(root: str, name: str) -> str:
    return mark_sheet(*of_demo(root, name)).data.decode("utf-8")


def items(text: str, head: str) -> list[Expr]:
    return list(parse_sexpr(text, "x").all(head))


def colour_of(clause: Expr | None) -> str:
    words = next(clause.all("color")).words() if clause is not None and clause.first("color") else []
    return " ".join(words)


@pytest.mark.parametrize(("root", "name"), FILES, ids=[name for _, name in FILES])
def test_taking_the_marks_back_gives_the_drawing_to_the_byte(root: str, name: str) -> None:
    drawing, file, marks, board = of_demo(root, name)
    text = mark_sheet(drawing, file, marks, board).data.decode("utf-8")
    assert undone(text, sheet_edits(drawing, file, marks, board)).encode("utf-8") == file.data


@pytest.mark.parametrize(("root", "name"), FILES, ids=[name for _, name in FILES])
def test_nothing_but_looks_and_our_own_texts_differs(root: str, name: str) -> None:
    """Said without the program's edits: cut out the new lines and the looks of both, and they are one text."""
    before = of_demo(root, name)[1].data.decode("utf-8")
    after = marked_text(root, name)
    lines = set(before.split("\n"))
    kept = [x for x in after.split("\n") if x in lines or not x.lstrip().startswith('(text "')]
    assert LOOKS.sub("", "\n".join(kept)) == LOOKS.sub("", before)


def test_the_same_drawing_gives_the_same_bytes() -> None:
    each = {mark_sheet(*of_demo("dunlin/dunlin.kicad_sch", "dunlin.kicad_sch")).data for _ in range(2)}
    assert len(each) == 1


def test_every_bit_is_named_at_its_memory_leg_its_latch_and_its_resistor() -> None:
    text = marked_text("dunlin/dunlin.kicad_sch", "dunlin.kicad_sch")
    for colour in ("red", "green", "blue"):
        for bit in range(4):
            # Memory, both legs of the latch, resistor.
            assert text.count(f'(text "{colour} {bit}"') == 4
        assert text.count(f'(text "{colour}"') == 1


def test_lines_of_the_colours_differ_in_kind_too() -> None:
    wires = items(marked_text("dunlin/dunlin.kicad_sch", "dunlin.kicad_sch"), "wire")
    kinds = {(s.word("type"), colour_of(s)) for w in wires if (s := w.first("stroke"))}
    marked = {kind for kind in kinds if kind[1]}
    assert marked == {("solid", "200 32 42 1"), ("dash", "58 166 85 1"), ("dot", "11 42 144 1")}


def test_a_net_of_several_colours_is_black_and_thick(tmp_path: Path) -> None:
    drawing = read_drawing(two_parts(Sheet(), tmp_path))
    both = frozenset({(0, 3), (2, 3)})
    text = mark_all(drawing, BoardMarks(STYLES, {PinRef("R1", "1"): both}, {PinRef("R1", "1"): both}, {}))
    [wire] = items(text, "wire")
    stroke = wire.first("stroke")
    assert stroke is not None
    assert (stroke.word("width"), stroke.word("type"), colour_of(stroke)) == ("0.48", "solid", "0 0 0 1")
    assert '(text "red 3, blue 3"' in text


def test_a_leg_that_only_writes_has_no_name() -> None:
    """The transceivers stand on the memories' data lines and bring what the processor writes."""
    drawing, marks, _ = demo_marks("dunlin/dunlin.kicad_sch")
    assert not [leg for leg in marks.legs if leg.part in ("U7", "U8")]
    assert marks.nets[PinRef("U7", "18")] == marks.legs[PinRef("U9", "9")]
    assert drawing.netlist.net_of(PinRef("U7", "18")) == drawing.netlist.net_of(PinRef("U9", "9"))


def test_a_sheet_that_stands_for_several_has_what_is_common_and_says_so() -> None:
    marked = mark_sheet(*of_demo("plover/plover.kicad_sch", "output.kicad_sch"))
    text = marked.data.decode("utf-8")
    assert [f'(text "bit {bit}"' in text for bit in range(6)] == [True] * 5 + [False]
    assert '(text "red' not in text
    [said] = marked.said
    assert said.startswith("output.kicad_sch stands for 3 sheets (/red/, /green/, /blue/); ")


def test_what_is_on_the_path_of_only_some_sheets_is_left_alone(tmp_path: Path) -> None:
    root, child = Sheet(), Sheet("child")
    child.part("NAMED", ["U1", "U2"], (50.8, 50.8))
    child.wire((50.8, 50.8), (40.64, 50.8))
    root.sheet("one", child)
    root.sheet("two", child, at=(101.6, 40.64))
    drawing = read_drawing(root.write(tmp_path))
    file = list(drawing.files.values())[1]
    leg = {PinRef("U1", "1"): frozenset({(0, 3)})}
    marked = mark_sheet(drawing, file, BoardMarks(STYLES, leg, leg, {}))
    assert marked.data == file.data
    assert "are on the path of only some and were left as they are" in marked.said[0]


def test_texts_have_no_colour_where_kicad_6_knows_none(tmp_path: Path) -> None:
    drawing = read_drawing(two_parts(Sheet(version=KICAD_6), tmp_path))
    text = mark_all(drawing, everything(drawing))
    [label] = items(text, "label")
    [effects] = label.all("effects")
    assert colour_of(effects.first("font")) == ""
    assert colour_of(items(text, "wire")[0].first("stroke"))
    assert len(items(text, "text")) == 2
    newer = read_drawing(two_parts(Sheet(), tmp_path))
    [label] = items(mark_all(newer, everything(newer)), "label")
    assert colour_of(next(label.all("effects")).first("font"))


def test_a_line_end_of_another_system_and_a_byte_order_mark_stay(tmp_path: Path) -> None:
    path = two_parts(Sheet(), tmp_path)
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    drawing = read_drawing(path)
    data = mark_all(drawing, everything(drawing)).encode("utf-8")
    assert data.startswith(b"\xef\xbb\xbf(kicad_sch")
    assert data.count(b"\n") == data.count(b"\r\n")


def test_a_schematic_in_another_encoding_is_refused(tmp_path: Path) -> None:
    path = two_parts(Sheet(), tmp_path)
    path.write_bytes(path.read_text(encoding="utf-8").encode("utf-16"))
    drawing = read_drawing(path)
    with pytest.raises(EmitError, match=r"root\.kicad_sch: this schematic is not in UTF-8"):
        mark_all(drawing, everything(drawing))


def test_a_wire_without_points_is_left_as_it_is(tmp_path: Path) -> None:
    path = two_parts(Sheet(), tmp_path)
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("(wire ", "(wire (stroke (width 0)))\n(wire ", 1), encoding="utf-8")
    drawing = read_drawing(path)
    assert "(wire (stroke (width 0)))" in mark_all(drawing, everything(drawing))


def test_no_two_new_texts_have_one_identifier() -> None:
    texts = items(marked_text("dunlin/dunlin.kicad_sch", "dunlin.kicad_sch"), "text")
    identifiers = [text.word("uuid") for text in texts]
    assert len(set(identifiers)) == len(identifiers) > 50
    assert all(UUID(identifier) for identifier in identifiers)


def two_parts(sheet: Sheet, folder: Path) -> Path:
    sheet.pin("R1", (50.8, 50.8))
    sheet.pin("R2", (60.96, 50.8))
    sheet.wire((50.8, 50.8), (60.96, 50.8))
    sheet.label("X", (53.34, 50.8))
    return sheet.write(folder)


def mark_all(drawing: Drawing, marks: BoardMarks) -> str:
    [file] = drawing.files.values()
    text = mark_sheet(drawing, file, marks).data.decode("utf-8")
    edits = sheet_edits(drawing, file, marks)
    assert undone(text, edits).encode() == file.data
    assert applied(undone(text, edits), edits) == text
    return text
