"""SPICE decks: cards, subcircuits, tables of legs, and what a deck cannot tell."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracer.base.errors import NetlistError
from tracer.importers import parse_netlist, read_netlist
from tracer.importers.spice.pins import load_pin_tables
from tracer.netlist.board import Netlist


def read(cards: str, pins: dict[str, list[str]] | None = None) -> Netlist:
    return parse_netlist(f"a title\n{cards}\n.end\n", "a.cir", format_name="spice", spice_pins=pins)


def nets(netlist: Netlist) -> dict[str, str]:
    return {net.name: " ".join(map(str, net.pins)) for net in netlist.nets}


def codes(netlist: Netlist) -> list[str]:
    return [f.code for f in netlist.findings]


def test_resistors_capacitors_and_inductors() -> None:
    netlist = read(
        "R1 a b 4.7k\nC2 b 0 100n ic=0\nl3 a GND 10u\nR4 a b R=1Meg tc1=0\nR5 a b {2.2k}\nR6 a b 1M"
    )
    assert nets(netlist) == {
        "GND": "C2.2 l3.2",
        "a": "R1.1 R4.1 R5.1 R6.1 l3.1",
        "b": "C2.1 R1.2 R4.2 R5.2 R6.2",
    }
    assert {p.reference: p.marking for p in netlist.parts} == {
        "R1": "4.7k",
        "C2": "100n",
        "l3": "10u",
        "R4": "1M",
        "R5": "2.2k",
        "R6": "1M",
    }
    assert netlist.findings == ()


def test_diodes_and_transistors_have_their_terminals() -> None:
    netlist = read(
        ".model BC547 NPN(bf=200)\n.model DX D\nD1 a k 1N4148\nD2 a k DX off\nQ1 c b e BC547\nQ2 c b e 0 BC547 2.0\n"
        "Q3 c b e 2N3904\nJ1 d g s J2N\nM1 d g s s MOS W=1u L=1u"
    )
    assert nets(netlist) == {
        "GND": "Q2.S",
        "a": "D1.A D2.A",
        "b": "Q1.B Q2.B Q3.B",
        "c": "Q1.C Q2.C Q3.C",
        "d": "J1.D M1.D",
        "e": "Q1.E Q2.E Q3.E",
        "g": "J1.G M1.G",
        "k": "D1.K D2.K",
        "s": "J1.S M1.B M1.S",
    }
    part = netlist.by_reference["Q1"]
    assert (part.marking, part.symbol) == ("BC547", "NPN")
    assert [(p.number, p.name) for p in part.pins] == [("C", "C"), ("B", "B"), ("E", "E")]
    assert codes(netlist) == []


def test_lines_comments_and_the_title() -> None:
    netlist = read(
        "* R0 x y 1\n\nR1 a ; all of it\n\n* between\n+ b\n+1k $ the value\n.control\nR9 a b 1\n.endc\nR2 a$b c#d 1"
    )
    assert nets(netlist) == {"a": "R1.1", "b": "R1.2", "a$b": "R2.1", "c#d": "R2.2"}
    assert netlist.by_reference["R1"].origin is not None
    assert netlist.by_reference["R1"].origin.line == 4


def test_the_first_line_is_a_title_even_if_it_looks_like_a_part() -> None:
    netlist = parse_netlist("R1 a b 1k\nR2 a b 2k\n.end\nR3 a b 1\n", "a.cir", format_name="spice")
    assert [p.reference for p in netlist.parts] == ["R2"]
    assert codes(netlist) == ["title-line"]
    assert codes(parse_netlist(".title x\nR2 a b 2k\n.end\n", "a.cir")) == []


def test_case_does_not_tell_names_apart() -> None:
    netlist = read("R1 RED b 1k\nR2 red B 1k\nR3 gnd 0 1")
    assert nets(netlist) == {"GND": "R3.1 R3.2", "RED": "R1.1 R2.1", "b": "R1.2 R2.2"}
    (found,) = netlist.findings
    assert (found.code, found.severity) == ("case-joined", "warning")
    assert "RED = red; b = B" in found.text


def test_subcircuits_without_a_table_keep_their_order_only() -> None:
    """The first node is not leg 1."""
    netlist = read("XU9 a b 0 74LS273\nXU10 b a a 74LS273 params: x=1\nX1 a b 12MHz")
    assert nets(netlist) == {
        "GND": "U9.n3",
        "a": "U9.n1 U10.n2 U10.n3 X1.n1",
        "b": "U9.n2 U10.n1 X1.n2",
    }
    assert netlist.by_reference["U9"].marking == "74LS273"
    (found,) = netlist.findings
    assert (found.code, found.severity) == ("pin-order-only", "warning")
    assert "74LS273 (U9, U10); 12MHz (X1)" in found.text
    assert "--spice-pins" in found.text


def test_a_table_tells_the_legs() -> None:
    """By the name of the subcircuit or by the reference; in any case of letters."""
    netlist = read(
        "XU9 a b 0 74LS273\nXU2 a b ROM\nXU3 a b ROM", {"74ls273": ["11", "2", "10"], "xu2": ["8", "9"]}
    )
    assert nets(netlist) == {"GND": "U9.10", "a": "U2.8 U3.n1 U9.11", "b": "U2.9 U3.n2 U9.2"}
    assert "ROM (U3)" in netlist.findings[0].text


def test_a_table_of_another_length_is_not_used() -> None:
    netlist = read("XU9 a b 0 74LS273", {"74LS273": ["1", "2"]})
    assert nets(netlist) == {"GND": "U9.n3", "a": "U9.n1", "b": "U9.n2"}
    assert "has 3 node(s), the table tells 2 legs" in netlist.findings[0].text


SHEET = """.subckt LATCH D Q
R1 D n 1k
R2 n q 2k
.ends LATCH
"""


def test_a_subcircuit_of_parts_is_a_sheet() -> None:
    netlist = read(f"{SHEET}X1 a b latch\nX2 b c LATCH")
    assert nets(netlist) == {
        "X1/n": "X1/R1.2 X1/R2.1",
        "X2/n": "X2/R1.2 X2/R2.1",
        "a": "X1/R1.1",
        "b": "X1/R2.2 X2/R1.1",
        "c": "X2/R2.2",
    }
    assert codes(netlist) == ["opened-subcircuit"]
    assert netlist.findings[0].severity == "note"


def test_a_table_keeps_a_subcircuit_closed() -> None:
    netlist = read(f"{SHEET}XU1 a b LATCH", {"LATCH": ["2", "5"]})
    assert nets(netlist) == {"a": "U1.2", "b": "U1.5"}
    assert codes(netlist) == []
    assert [p.name for p in netlist.by_reference["U1"].pins] == ["D", "Q"]


@pytest.mark.parametrize("inside", ["", "B1 Q 0 V=V(D)\n", "E1 Q 0 D 0 5\nR1 Q 0 1\n", "A1 D Q model\n"])
def test_a_subcircuit_of_equations_is_the_model_of_a_part(inside: str) -> None:
    """Its nodes' names are the pins'; numbers are not legs, as vendors number the nodes of models freely."""
    netlist = read(f".subckt buffer D Q 99\n{inside}.ends\nXU1 a b c buffer")
    assert nets(netlist) == {"a": "U1.n1", "b": "U1.n2", "c": "U1.n3"}
    assert [(p.number, p.name) for p in netlist.by_reference["U1"].pins] == [
        ("n1", "D"),
        ("n2", "Q"),
        ("n3", ""),
    ]
    assert codes(netlist) == ["pin-order-only"]


def test_nodes_inside_subcircuits_are_their_own_unless_global() -> None:
    netlist = read(
        ".global vcc\n.subckt S a\nR1 a vcc 1\nR2 a 0 1\nR3 b a 1\n.subckt T x\nR4 x VCC 1\n.ends\nX9 b T\n.ends\n"
        "X1 p S\nR5 b vcc 1"
    )
    assert nets(netlist) == {
        "GND": "X1/R2.2",
        "X1/b": "X1/R3.1 X1/X9/R4.1",
        "b": "R5.1",
        "p": "X1/R1.1 X1/R2.1 X1/R3.2",
        "vcc": "R5.2 X1/R1.2 X1/X9/R4.2",
    }


def test_what_kicad_writes_for_parts_without_a_model() -> None:
    """It forces a letter before some references, calls own models after their part, and leaves out all other pins."""
    netlist = parse_netlist(
        ".title KiCad schematic\n.model __Q2 VDMOS NCHAN\n.model __LED1 D\nU12 __U12\nX1 __X1\nMQ2 /B+ Net-_D2-A_ /Vs __Q2\n"
        "DLED1 /B+ /Vs __LED1\nXJ1 /B+ /Vs CONN\n.end\n",
        "a.cir",
    )
    assert nets(netlist) == {"/B+": "J1.n1 LED1.A Q2.D", "/Vs": "J1.n2 LED1.K Q2.S", "Net-_D2-A_": "Q2.G"}
    assert {p.reference: (p.marking, p.symbol) for p in netlist.parts} == {
        "J1": ("CONN", ""),
        "LED1": ("", "D"),
        "Q2": ("", "VDMOS"),
        "U12": ("", ""),
        "X1": ("", ""),
    }
    assert codes(netlist) == ["pin-order-only", "no-pins-told"]
    assert netlist.findings[1].where == ("U12", "X1")


def test_what_lepton_writes_under_letters_of_other_elements() -> None:
    """A connector is no capacitor, a jumper no transistor; a part without a value ends in words or in nothing."""
    netlist = read(
        "CONN2 a b c 0 <No valid value attribute found>\nJ1 a b <No valid value attribute found>\nC1 a b <No valid value attribute found>\n"
        "U1 a b c 74LS00\nU2 c b unconnected_pin-1\nU3 b a\nU4"
    )
    assert nets(netlist) == {
        "GND": "CONN2.n4",
        "a": "C1.1 CONN2.n1 J1.n1 U1.n1 U3.n2",
        "b": "C1.2 CONN2.n2 J1.n2 U1.n2 U2.n2 U3.n1",
        "c": "CONN2.n3 U1.n3 U2.n1",
        "unconnected_pin-1": "U2.n3",
    }
    assert netlist.by_reference["U1"].marking == "74LS00"
    assert codes(netlist) == ["pin-order-only", "no-pins-told"]


def test_sources_and_couplings() -> None:
    netlist = read(
        "V1 vcc 0 DC 5\nI1 0 a 1m\nE1 a 0 b 0 2\nE2 a 0 VALUE={V(b)}\nG1 a 0 poly(1) b 0 0 1\nL1 a b 1\nL2 b 0 1\nK1 L1 L2 1"
    )
    assert nets(netlist)["vcc"] == "V1.+"
    assert {p.reference: len(p.pins) for p in netlist.parts} == {
        "V1": 2,
        "I1": 2,
        "E1": 4,
        "E2": 2,
        "G1": 4,
        "L1": 2,
        "L2": 2,
    }


def test_what_is_not_known_is_counted() -> None:
    netlist = read("R1 a b 1\n.tran 1 2\n.magic on\n.magic off\n?? x")
    (found,) = netlist.findings
    assert found.code == "skipped-clause"
    assert found.text.endswith(": .magic x 2, ?? x 1")


def test_not_connected_words_join_nothing() -> None:
    assert nets(read("R1 NC nc 1k")) == {"unconnected-(R1-Pad1)": "R1.1", "unconnected-(R1-Pad2)": "R1.2"}


# Tables of legs.


@pytest.mark.parametrize(
    "text",
    [
        "74LS273,1,2,A1",
        "# legs\n\n74ls273; 1; 2; A1;\n",
        "74LS273\t1\t2\tA1",
        "74LS273 1 2 A1  # in order",
        '"74LS273" = "1 2 A1"',
        '[pins]\n"74LS273" = [1, 2, "A1"]',
    ],
)
def test_tables(text: str) -> None:
    assert load_pin_tables(text, "a") == {"74ls273": ("1", "2", "A1")}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("A,1,2\nB", "legs.csv:2: B has no legs"),
        ("A,1,,2", "legs.csv:1: A has a leg without a number"),
        ("A,1,2,1", "legs.csv:1: A has the leg 1 twice"),
        ("A,1\na,2", "legs.csv:2: a stands there twice"),
        ("A = [1, 2", "legs.csv:"),
        ("A = 1.5", "legs.csv: A is no list of legs"),
        ("A = [[1]]", "legs.csv: A is no list of legs"),
    ],
)
def test_tables_that_cannot_be_read(text: str, message: str) -> None:
    with pytest.raises(NetlistError) as caught:
        load_pin_tables(text, "legs.csv")
    assert str(caught.value).startswith(message)
    assert caught.value.fix


def test_the_option_reaches_the_reader(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from tracer.cli.main import main

    deck, legs = tmp_path / "a.cir", tmp_path / "legs.csv"
    deck.write_text("* t\nXU9 a b 74LS04\nR1 a b 1k\n.end\n", encoding="utf-8")
    legs.write_text("74LS04,13,12\n", encoding="utf-8")
    main(["convert", str(deck), "--spice-pins", str(legs), "-o", str(tmp_path / "a.net")])
    assert nets(read_netlist(tmp_path / "a.net")) == {"a": "R1.1 U9.13", "b": "R1.2 U9.12"}
    assert main(["check", str(deck), "--spice-pins", str(tmp_path / "none.csv")]) == 2
    assert "none.csv" in capsys.readouterr().err
