"""What a writer puts into a file of lines or blocks comes back: no pin is lost, no two nets are joined, no name bent.

The names have what real names have and naive readers trip over: blanks, pairs that differ in case only, overbars,
Cyrillic letters that look like Latin ones, marks that the form itself uses, and more letters than a column holds.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.property.mutations import outcomes
from tests.writers import geda, ipc356, orcad, pads, rinf, tango, telesis
from tracer.importers import detect, parse_netlist, read_netlist
from tracer.netlist.board import Netlist, Part, PinRef, make_netlist
from tracer.netlist.net_names import says_alone

#: Pieces of names; several in a row make one.
PIECES = st.sampled_from(
    [
        *"AaBbВ13_/+-.#~{}()!;,:?$[]*'@&=|<>%^",
        "RED",
        "red",
        "~{RD}",
        "Net-(U1-Pad",
        "/Project Architecture/",
        "+3,3В",
        " ",
        "  ",
        "Ω",
        "END",
        "U1",
        "R1.2",
        "R1-2",
    ]
)
NAMES = st.lists(PIECES, min_size=1, max_size=9).map("".join).map(str.strip)
REFERENCES = st.from_regex(r"(?:R|U|J|RN|IC|CONN|Q_)[1-9][0-9]{0,3}[A-B]?", fullmatch=True)
NUMBERS = st.from_regex(r"[1-9][0-9]?|[A-Z][1-9]|[A-Z]{2}[1-9][0-9]", fullmatch=True)
VALUES = st.sampled_from(["", "74LS273", "4k7", "0,1uF", "SN74LS273N", "1k 1%", "470R/5%"])
FOOTPRINTS = st.sampled_from(["", "DIP-20", "LIB:R_0805", "TWO WORDS"])

#: Format and form -> writer, and a pattern that the names of nets must fit to be carried.
WRITERS: dict[str, tuple[Callable[[Netlist], str], str]] = {
    "pads": (pads.write, r"[^*].*"),
    "pads, footprints alone": (lambda n: pads.write(n, markings=False), r"[^*].*"),
    "pads, CR LF": (lambda n: pads.write(n, eol="\r\n").replace("\r\n", "\n"), r"[^*].*"),
    "tango": (tango.write, r"(?![()\[\]]$).*"),
    "tango, commas": (lambda n: tango.write(n, separator=","), r"(?![()\[\]]$).*"),
    "protel2": (lambda n: tango.write_second(n).replace("\r\n", "\n"), r"(?![()\[\]]$).*"),
    "orcad-pcb2": (orcad.write, r"(?!\?).*"),
    "orcad-pcb2, before KiCad 4": (lambda n: orcad.write(n, legacy=True), r"(?!\?).*"),
    "telesis": (telesis.write, r"[^']*"),
    "rinf": (rinf.write, r"(?!.*\"[ \t]).*"),
    "rinf, style sheet": (lambda n: rinf.write(n, quoted=False), r'[^"]*'),
    "rinf, facts": (lambda n: rinf.write(n, facts=True), r"(?!.*\"[ \t]).*"),
    "ipc-d-356, 356A": (ipc356.write, r"(?!NNAME).*"),
    "ipc-d-356, 356": (lambda n: ipc356.write(n, alias="comment"), r"(?!NNAME).*"),
    "ipc-d-356, short aliases": (lambda n: ipc356.write(n, alias="eagle"), r"(?!NNAME).*"),
    "ipc-d-356, carried on": (lambda n: ipc356.write(n, continued=True), r"(?!NNAME).*"),
    "geda": (geda.write, r"(?!.* : ).*"),
    "tedax": (geda.write_tedax, r".*"),
    "geda-pcb": (geda.write_pcb, r"(?![#<{%(])(?![A-Za-z]+\d+[-.:/]\w+$)\S*(?: [^\s-]+)*"),
}

#: Facts of parts that a form carries: marking and footprint, as (reference, marking, footprint) -> what comes back.
CARRIES_NO_MARKING = {
    "pads, footprints alone",
    "geda",
    "geda-pcb",
    *(form for form in WRITERS if form.startswith("ipc")),
}


def format_of(form: str) -> str:
    return form.split(",")[0]


@st.composite
def boards(draw: st.DrawFn, pattern: str) -> Netlist:
    """A board with names that fit a pattern; some pairs of them differ in case only, some nets have one pin."""

    def fits(name: str) -> bool:
        return bool(name) and not says_alone(name) and re.fullmatch(pattern, name) is not None

    pins = draw(st.lists(st.builds(PinRef, REFERENCES, NUMBERS), min_size=2, max_size=24, unique=True))
    names = draw(st.lists(NAMES.filter(fits), min_size=1, max_size=8, unique=True))
    names += [name.swapcase() for name in names if name.swapcase() not in names and fits(name.swapcase())]
    nets: dict[str, list[PinRef]] = {}
    for pin in pins:
        nets.setdefault(draw(st.sampled_from(names)), []).append(pin)
    parts = [
        Part(reference, draw(VALUES), footprint=draw(FOOTPRINTS))
        for reference in dict.fromkeys(p.part for p in pins)
    ]
    return make_netlist("board", parts, [(name, found, None) for name, found in nets.items()])


def carried(board: Netlist, pattern: str) -> Netlist:
    """The board with another name for each net whose name does not fit."""
    names = [
        net.name if re.fullmatch(pattern, net.name) else f"OTHER {at}" for at, net in enumerate(board.nets)
    ]
    return make_netlist(
        board.name, board.parts, [(name, net.pins, None) for name, net in zip(names, board.nets, strict=True)]
    )


@given(drawn=boards(r".*"))
def test_nets_come_back(drawn: Netlist) -> None:
    """One board is drawn for all forms: drawing takes longer than writing and reading it."""
    for form, (writer, pattern) in WRITERS.items():
        board = carried(drawn, pattern)
        text = writer(board)
        read = parse_netlist(text, "f", format_name=format_of(form))
        assert {net.name: net.pins for net in read.nets} == {net.name: net.pins for net in board.nets}, form
        markings = {p.reference: p.marking for p in read.parts}
        if form in CARRIES_NO_MARKING:
            assert set(markings) == {p.reference for p in board.parts}, form
        else:
            assert markings == {p.reference: p.marking for p in board.parts}, form
        assert detect(text, "f").name == format_of(form), form


@pytest.mark.parametrize("form", WRITERS)
def test_no_connect_words_join_nothing(form: str) -> None:
    """The word stands once for every pin or once for all, as the form has it; each pin is alone in the end."""
    pins = [PinRef("U1", "1"), PinRef("U1", "2"), PinRef("U2", "1")]
    red = [PinRef("U1", "3"), PinRef("U2", "2")]
    for word in ("N/C", "NC", "?", "no_connect"):
        board = make_netlist("b", [Part("U1"), Part("U2")], [(word, pins, None), ("RED", red, None)])
        read = parse_netlist(WRITERS[form][0](board), "f", format_name=format_of(form))
        assert {net.name: net.pins for net in read.nets} == {
            "RED": tuple(red),
            "unconnected-(U1-Pad1)": (pins[0],),
            "unconnected-(U1-Pad2)": (pins[1],),
            "unconnected-(U2-Pad1)": (pins[2],),
        }
        assert [f.code for f in read.findings if f.code == "no-connect-joined"] == ["no-connect-joined"]


#: Damaged copies are read by the thousand, so that they are made of a part of a board.
FEW = {"U9", "U10", "R1", "R2", "J1", "U1"}
WREN = read_netlist(Path(__file__).parents[2] / "netlists" / "wren" / "wren.net")


@pytest.mark.parametrize("form", WRITERS)
def test_damaged_files_are_read_or_refused(form: str, tmp_path: Path) -> None:
    parts = [part for part in WREN.parts if part.reference in FEW]
    nets = [(net.name, [pin for pin in net.pins if pin.part in FEW], None) for net in WREN.nets]
    text = WRITERS[form][0](make_netlist("b", parts, [net for net in nets if net[1]]))
    forms_alike = sum(format_of(other) == format_of(form) for other in WRITERS)
    counts = outcomes(text.encode(), tmp_path / "damaged.txt", format_of(form), one_of=forms_alike)
    assert counts["read"] > 0
    assert counts["refused"] > 0
