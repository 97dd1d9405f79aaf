"""One schematic file -> its things: forms of clauses that differ from version to version.

The forms are those seen in files of KiCad 6 to 9 (Debian ``kicad-demos`` 6.0.11 and 9.0.2).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tracer.base.errors import NetlistError
from tracer.importers.kicad.sheet_file import STEPS_PER_MM, SheetFile
from tracer.importers.kicad.sheet_reader import load_sheet_file

HEAD = '(kicad_sch (version 20250114) (generator "eeschema") (uuid "00000000-0000-4000-8000-000000000001")\n'
BODY = (
    '(lib_symbols (symbol "x:R" (pin_numbers hide) (symbol "R_0_1" (rectangle (start 0 0) (end 1 1))) (symbol "R_1_1" '
    '(pin passive line (at 0 3.81 270) (length 1.27) (name "~" (effects (font (size 1.27 1.27)))) (number "1")) '
    '(pin input line (at 0 -3.81 90) (length 1.27) hide (name "EN") (number "2") (alternate "CS" output line)))))\n'
)


def load(folder: Path, text: str, head: str = HEAD) -> SheetFile:
    path = folder / "a.kicad_sch"
    path.write_text(f"{head}{text})\n", encoding="utf-8")
    return load_sheet_file(path)


def symbol(more: str = "", library: str = "x:R") -> str:
    return f'(symbol (lib_id "{library}") (at 10.16 20.32 90) (unit 1) {more} (property "Reference" "R1" (at 0 0 0)))'


def test_lengths_are_whole_steps(tmp_path: Path) -> None:
    """Binary fractions of millimetres do not matter: 30.48 is the same point however it was reached."""
    sheet = load(
        tmp_path,
        "(wire (pts (xy 10.16 20.32) (xy 30.479999999 2.032e1)) (uuid x))\n(junction (at 30.48 20.32))",
    )
    assert sheet.wires == [((101600, 203200), (304800, 203200))]
    assert sheet.junctions == [(304800, 203200)]
    assert STEPS_PER_MM == 10000


def test_a_body_with_its_pins(tmp_path: Path) -> None:
    pins = load(tmp_path, BODY + symbol()).symbols[0].body.pins
    assert [(p.number, p.name, p.kind, p.hidden, p.at, p.unit, p.body) for p in pins] == [
        ("1", "", "passive", False, (0, 38100), 1, 1),
        ("2", "EN", "input", True, (0, -38100), 1, 1),
    ]
    assert pins[1].alternates == (("CS", "output"),)


@pytest.mark.parametrize(
    ("word", "hidden"),
    [("hide", True), ("(hide yes)", True), ("(hide)", True), ("(hide no)", False), ("", False)],
)
def test_hidden_pins(tmp_path: Path, word: str, hidden: bool) -> None:
    pins = load(tmp_path, BODY.replace("hide (name", f"{word} (name") + symbol()).symbols[0].body.pins
    assert pins[1].hidden is hidden


@pytest.mark.parametrize(
    ("word", "fitted"), [("(dnp yes)", False), ("(dnp)", False), ("(dnp no)", True), ("", True)]
)
def test_parts_that_are_not_fitted(tmp_path: Path, word: str, fitted: bool) -> None:
    assert load(tmp_path, BODY + symbol(word)).symbols[0].fitted is fitted


@pytest.mark.parametrize(
    ("clause", "kind"),
    [("", ""), ("(power)", "global"), ("(power global)", "global"), ("(power local)", "local")],
)
def test_supply_symbols(tmp_path: Path, clause: str, kind: str) -> None:
    body = BODY.replace("(pin_numbers hide)", clause)
    assert load(tmp_path, body + symbol()).symbols[0].body.power == kind


def test_a_symbol_that_was_changed_in_place(tmp_path: Path) -> None:
    """``lib_name`` names the body, ``lib_id`` stays what it was drawn from."""
    body = BODY.replace('"x:R"', '"R_1"').replace("R_0_1", "R_1_0_1").replace("R_1_1", "R_1_1_1")
    found = load(tmp_path, body + symbol('(lib_name "R_1")')).symbols[0]
    assert (found.library, found.body.name, len(found.body.pins)) == ("x:R", "R_1", 2)


def test_a_symbol_without_a_body_has_no_pins(tmp_path: Path) -> None:
    assert load(tmp_path, BODY + symbol(library="y:Z")).symbols[0].body.pins == ()


def test_angles_and_styles(tmp_path: Path) -> None:
    found = load(tmp_path, BODY + symbol("(mirror x) (convert 2)")).symbols[0]
    assert (found.angle, found.mirror, found.body_style) == (90, "x", 2)
    assert load(tmp_path, BODY + symbol("(body_style 2)")).symbols[0].body_style == 2


def test_references_of_kicad_6_stand_in_the_root(tmp_path: Path) -> None:
    """A sub-sheet's symbols then may lack the unit (seen in a demo)."""
    text = (
        '(symbol_instances (path "/a/b" (reference "U4") (unit 3) (value "x")) (path "/c" (reference "R1")))'
    )
    assert load(tmp_path, text).root_instances == {"/a/b": ("U4", 3), "/c": ("R1", 1)}
    assert load(tmp_path, BODY + symbol().replace("(unit 1)", "")).symbols[0].unit == 1


def test_sheets_labels_and_aliases(tmp_path: Path) -> None:
    sheet = load(
        tmp_path,
        '(sheet (at 0 0) (uuid "00000000-0000-4000-8000-00000000000a") (property "Sheet name" "video" (id 0))\n'
        '(property "Sheet file" "sub/video.kicad_sch" (id 1)) (pin "D[0..7]" input (at 1.27 2.54 0)))\n'
        '(label "A" (at 0 0 0))(global_label "B" (shape input) (at 0 0 0))(hierarchical_label "C" (at 0 0 0))\n'
        '(bus_alias "CTL" (members "RD" "WR"))(no_connect (at 1.27 0))(bus_entry (at 2.54 2.54) (size -2.54 2.54))',
    )
    found = sheet.sheets[0]
    assert (found.name, found.file, found.origin.line) == ("video", "sub/video.kicad_sch", 2)
    assert [(p.name, p.at) for p in found.pins] == [("D[0..7]", (12700, 25400))]
    assert [(x.kind, x.text) for x in sheet.labels] == [
        ("local", "A"),
        ("global", "B"),
        ("hierarchical", "C"),
    ]
    assert sheet.aliases == {"CTL": ["RD", "WR"]}
    assert sheet.no_connects == [(12700, 0)]
    assert sheet.bus_entries == [((25400, 25400), (0, 50800))]


def test_letters_beyond_ascii(tmp_path: Path) -> None:
    """Read as UTF-8 whatever the machine's own encoding."""
    assert load(tmp_path, '(label "+3,3В Ω µ" (at 0 0 0))').labels[0].text == "+3,3В Ω µ"


def test_version_and_byte_order_mark(tmp_path: Path) -> None:
    sheet = load(tmp_path, "", "\ufeff" + HEAD)
    assert (sheet.version, sheet.uuid) == (20250114, "00000000-0000-4000-8000-000000000001")


@pytest.mark.parametrize(
    "clause",
    [
        "(junction (at here 1))",
        "(junction (at nan 1))",
        "(junction (at inf 1))",
        "(bus_alias)",
        '(symbol_instances (path (reference "R1") (unit 1)))',
        "(symbol (unit x))",
        "(lib_symbols (symbol))",
        "(lib_symbols (symbol x (symbol)))",
        '(symbol (instances (project "p" (path))))',
        "(bus_entry (at 1 1) (size))",
    ],
)
def test_damaged_clauses_are_refused(tmp_path: Path, clause: str) -> None:
    """With an error of ours, never with one of Python's."""
    with pytest.raises(NetlistError) as caught:
        load(tmp_path, clause)
    assert caught.value.what.endswith("clause lacks a word or has one that is no number")


@pytest.mark.parametrize(
    "value", ["a (effects (font))", "a\n\t(stroke (width 0))", "a\n    b", 'a \\" (fill)', "a ; b"]
)
def test_looks_are_left_out_and_texts_are_not_touched(tmp_path: Path, value: str) -> None:
    """What looks like a list of looks, or like an indent, is part of a name when it stands in a string."""
    fields = (
        f'(property "Value" "{value}"\n\t\t(at 0 0)\n\t\t(effects\n\t\t\t(font\n\t\t\t\t(size 1 1)\n\t\t\t)\n\t\t)\n\t)\n'
        '\t(stroke (width 0)) (property "Place"\n\t"7E")'
    )
    [found] = load(tmp_path, BODY + symbol(fields)).symbols
    assert found.fields["Value"] == value.replace('\\"', '"')
    assert found.fields["Place"] == "7E"


def test_looks_behind_a_remark_do_not_draw_the_next_list_into_it(tmp_path: Path) -> None:
    """The loader takes a semicolon as the start of a remark that runs to the end of its line."""
    sheet = load(tmp_path, "(junction (at 1 2) ; remark\n(stroke (width 0)) (uuid x))\n(junction (at 3 4))")
    assert sheet.junctions == [(10000, 20000), (30000, 40000)]
