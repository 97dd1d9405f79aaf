"""What a writer puts into a file of brackets or XML comes back: no pin is lost, no two nets are joined, no name bent.

The names are those of `test_line_formats`; these forms carry every one of them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.property.mutations import EXPLORE, outcomes
from tests.property.test_line_formats import boards
from tests.writers import eagle, edif, kicad_board, kicad_xml
from tracer.importers import detect, parse_netlist, read_netlist
from tracer.netlist.board import Netlist, Part, PinRef, make_netlist
from tracer.netlist.check import check_netlist

#: Format and form -> writer.
WRITERS: dict[str, Callable[[Netlist], str]] = {
    "kicad-board": kicad_board.write,
    "kicad-board, KiCad 5": lambda n: kicad_board.write(n, 5),
    "kicad-board, KiCad 6": lambda n: kicad_board.write(n, 6),
    "kicad-board, without numbers": lambda n: kicad_board.write(n, 10),
    "kicad-xml": kicad_xml.write,
    "edif": edif.write,
    "edif, legs in designators": lambda n: edif.write(n, designators=True),
    "edif, upper case": lambda n: edif.write(n, shouted=True),
    "edif, sheets": lambda n: edif.write(n, sheets=True),
    "eagle-board": eagle.write_board,
    "eagle-schematic": eagle.write_schematic,
    "eagle-schematic, module": lambda n: eagle.write_schematic(n, module=True),
}


def format_of(form: str) -> str:
    return form.split(",")[0]


def renamed(form: str, reference: str) -> str:
    """A part's reference where the form puts it into a sheet or a module."""
    if form == "edif, sheets":
        return f"{edif.sheet_of(reference)}/{reference}"
    if form == "eagle-schematic, module":
        letters = reference.rstrip("0123456789")
        number = reference[len(letters) :]
        return f"{letters}{int(number) + 100}" if number else f"M:{reference}"
    return reference


def as_read(form: str, board: Netlist) -> dict[str, set[PinRef]]:
    """The nets that must come back."""
    return {net.name: {PinRef(renamed(form, pin.part), pin.pin) for pin in net.pins} for net in board.nets}


@given(board=boards(r".*"))
def test_nets_and_parts_come_back(board: Netlist) -> None:
    """In every form: making up a board takes longer than reading it."""
    for form, writer in WRITERS.items():
        text = writer(board)
        read = parse_netlist(text, "f", format_name=format_of(form))
        assert {net.name: set(net.pins) for net in read.nets} == as_read(form, board), form
        markings = {p.reference: p.marking for p in read.parts}
        assert markings == {renamed(form, p.reference): p.marking for p in board.parts}, form
        assert detect(text, "f").name == format_of(form)


WREN = read_netlist(Path(__file__).parents[2] / "netlists" / "wren" / "wren.net")


@pytest.mark.parametrize("form", WRITERS)
def test_a_board_comes_back_with_all_that_the_form_carries(form: str) -> None:
    """Pins that the netlist leaves out are alone on a board or a drawn sheet, not stated elsewhere."""
    read = parse_netlist(WRITERS[form](WREN), "f", format_name=format_of(form))
    stated = {name: pins for name, pins in as_read(form, WREN).items() if pins}
    assert {
        n.name: set(n.pins) for n in read.nets if not n.name.startswith("unconnected-(") or n.name in stated
    } == stated
    assert not [f for f in check_netlist(read) if f.severity == "warning"]
    if form not in ("eagle-board", "kicad-board, KiCad 5"):
        names = {PinRef(p.reference, q.number): q.name for p in read.parts for q in p.pins}
        told = {
            PinRef(renamed(form, p.reference), q.number): q.name for p in WREN.parts for q in p.pins if q.name
        }
        if format_of(form) != "edif" or "designators" in form:
            assert {pin: names[pin] for pin in told} == told


def test_no_connect_words_in_edif_join_nothing() -> None:
    pins = [PinRef("U1", "1"), PinRef("U1", "2"), PinRef("U2", "1")]
    board = make_netlist("b", [Part("U1"), Part("U2")], [("N/C", pins, None)])
    read = parse_netlist(edif.write(board), "f")
    assert [net.pins for net in read.nets] == [(pin,) for pin in pins]
    assert [f.code for f in read.findings] == ["no-connect-joined"]


#: In EDIF's sheets the order of the nets is that of the array's members.
ORDERED = [form for form in WRITERS if form != "edif, sheets"]


@pytest.mark.parametrize("form", ORDERED)
def test_order_of_parts_and_nets_does_not_matter(form: str) -> None:
    turned = replace(WREN, parts=WREN.parts[::-1], nets=WREN.nets[::-1])
    one, two = (parse_netlist(WRITERS[form](board), "f") for board in (WREN, turned))
    assert [n.pins for n in one.nets] == [n.pins for n in two.nets]
    assert [p.reference for p in one.parts] == [p.reference for p in two.parts]


#: The other forms go the same ways through the readers.
DAMAGED = [
    form for form in WRITERS if EXPLORE or (form not in ("edif", "edif, upper case") and "KiCad" not in form)
]


@pytest.mark.parametrize("form", DAMAGED)
def test_damaged_files_are_read_or_refused(form: str, tmp_path: Path) -> None:
    # A part of the board: the tables of libraries make the whole one long.
    few = {part.reference for part in WREN.parts[:6]}
    parts = [part for part in WREN.parts if part.reference in few]
    nets = [(net.name, [pin for pin in net.pins if pin.part in few], None) for net in WREN.nets]
    text = WRITERS[form](make_netlist("b", parts, [net for net in nets if net[1]]))
    counts = outcomes(text.encode(), tmp_path / "damaged.txt", format_of(form))
    if EXPLORE:
        print(f"{form}: {counts['read']} read, {counts['refused']} refused")
    assert counts["read"] > 0
    assert counts["refused"] > 0


@given(st.integers(0, 40), st.sampled_from(["(", ")", '"', "<", ">", "&", "%", "\\", "'"]))
def test_marks_of_the_form_in_a_name(place: int, mark: str) -> None:
    name = "RED_AND_A_LONG_TAIL_THAT_IS_NOT_CUT_OFF_AT_ALL"
    name = name[:place] + mark + name[place:]
    board = make_netlist("b", [Part("U1", mark)], [(name, [PinRef("U1", "1")], None)])
    for form, writer in WRITERS.items():
        assert list(as_read(form, board)) == [net.name for net in parse_netlist(writer(board), "f").nets]
