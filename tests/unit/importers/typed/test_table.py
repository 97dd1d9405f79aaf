"""Tables: the five shapes, separators, quotes, and words for no connection."""

from __future__ import annotations

import pytest

from tracer.importers import parse_netlist
from tracer.netlist.board import Netlist, Origin, Pin, PinRef
from tracer.netlist.check import check_netlist


def read(text: str) -> Netlist:
    return parse_netlist(text, "t.csv")


def nets(text: str) -> dict[str, str]:
    return {net.name: " ".join(map(str, net.pins)) for net in read(text).nets}


EXPECTED = {"RED": "R5.1 U9.2", "GND": "U9.10"}

#: One small board in every shape that can hold nets.
SHAPES = {
    "a row a pin": "part,pin,net\nU9,2,RED\nR5,1,RED\nU9,10,GND\n",
    "in another order": "Signal Name,Ref Des,Pin No.\nRED,U9,2\nRED,R5,1\nGND,U9,10\n",
    "with more columns": "net,row,component,pad,remark\nRED,1,U9,2,x\nRED,2,R5,1,\nGND,3,U9,10,y\n",
    "a row a net": 'Net Name,Net Pins\nRED,U9.2 R5.1\nGND,"U9.10"\n',
    "a row a net, below titles": "Report, all nets\nof 1987\n\nDate:,today\nNet Name,Net Pins\nRED,U9.2 R5.1\nGND,U9.10\n",
    "a matrix": "node,U9,R5\nRED,2,1\nGND,10,\n",
    "a matrix with remarks": "node;U9;R5;remarks\nRED;2;1;seen\nGND;10;-;\n",
}


@pytest.mark.parametrize("text", SHAPES.values(), ids=SHAPES)
def test_shapes(text: str) -> None:
    assert nets(text) == EXPECTED


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_separators(separator: str) -> None:
    assert nets(SHAPES["a row a pin"].replace(",", separator)) == EXPECTED


def test_a_table_drawn_with_bars() -> None:
    rows = [
        "| part | pin | net |",
        "|------|:---:|-----|",
        "| U9 | 2 | RED |",
        "| R5 | 1 | RED |",
        "| U9 | 10 | GND |",
    ]
    assert nets("\n".join(rows)) == EXPECTED


def test_connections() -> None:
    """Pairs are joined, and pairs that share a pin with one another; a net is named after its first pin."""
    text = 'from,to\nU10.1,U2.1\nU2.1,"U3.1,U4.1"\nU9.1,N/C\nU8.1,N/C\nU7.1,\n'
    assert nets(text) == {
        "Net-(U2-Pad1)": "U2.1 U3.1 U4.1 U10.1",
        "unconnected-(U7-Pad1)": "U7.1",
        "unconnected-(U8-Pad1)": "U8.1",
        "unconnected-(U9-Pad1)": "U9.1",
    }


def test_a_matrix_cell_may_hold_several_pins() -> None:
    assert nets('node,U1,U2\nD0,"41,50,60",2 3\nD1,7;8,\n') == {
        "D0": "U1.41 U1.50 U1.60 U2.2 U2.3",
        "D1": "U1.7 U1.8",
    }


def test_a_part_list_has_no_nets() -> None:
    netlist = read("Ref,Value,Location\nU9,SN74LS273N,7E\nR5,220,\n,,\n")
    assert [(p.reference, p.marking, p.place) for p in netlist.parts] == [
        ("R5", "220", ""),
        ("U9", "SN74LS273N", "7E"),
    ]
    assert netlist.nets == ()


@pytest.mark.parametrize("pin", ["U1-3", "U1.3", "U1/3", "U1 pin 3", "U1:3", "U1 leg 3", "U1 PIN 3"])
def test_ways_to_write_a_pin(pin: str) -> None:
    assert nets(f'net,pins\nA,"{pin}, R5.1"\n') == {"A": "R5.1 U1.3"}


@pytest.mark.parametrize(
    ("pin", "expected"),
    [("CN-1-5", PinRef("CN-1", "5")), ("U1.A12", PinRef("U1", "A12")), ("J1.2.A", PinRef("J1.2", "A"))],
)
def test_the_last_separator_divides_part_and_pin(pin: str, expected: PinRef) -> None:
    assert read(f"net,pins\nA,{pin}\n").nets[0].pins == (expected,)


@pytest.mark.parametrize("between", [" ", ", ", ",", "; ", " + ", "  "])
def test_what_stands_between_pins(between: str) -> None:
    assert nets(f'net,pins\nA,"U1.3{between}R5.1"\n') == {"A": "R5.1 U1.3"}


@pytest.mark.parametrize(
    "word", ["N/C", "nc", "NC", "n.c.", "?", "-", "", "open", "not connected", "no_connect"]
)
def test_pins_joined_to_nothing_are_kept_apart(word: str) -> None:
    expected = {"GND": "U1.7 U2.7", "unconnected-(U1-Pad1)": "U1.1", "unconnected-(U2-Pad1)": "U2.1"}
    assert nets(f"part,pin,net\nU1,1,{word}\nU2,1,{word}\nU1,7,GND\nU2,7,GND\n") == expected


def test_that_such_a_word_stood_on_several_pins_is_said() -> None:
    netlist = read("part,pin,net\nU1,1,N/C\nU2,1,N/C\nU3,1,\n")
    assert [(f.code, f.severity, f.text) for f in netlist.findings] == [
        ("no-connect-joined", "note", "2 pins are marked as not connected; each is on a net of its own")
    ]


def test_a_net_that_begins_like_such_a_word_is_a_net() -> None:
    assert nets("part,pin,net\nU1,1,NC_RED\nU2,1,NC_RED\n") == {"NC_RED": "U1.1 U2.1"}


def test_names_with_blanks_stay_whole() -> None:
    assert nets("part,pin,net\nU1,1,SYNC OUT 1\nU2,1,SYNC OUT 2\n") == {
        "SYNC OUT 1": "U1.1",
        "SYNC OUT 2": "U2.1",
    }


def test_quotes() -> None:
    """RFC 4180: a quoted cell may hold the separator, line ends, and quotes that are doubled."""
    netlist = read('part,pin,net,marking\nU1,1,"A,""B""","two\nlines"\nU2,1,C,x\n')
    assert [net.name for net in netlist.nets] == ['A,"B"', "C"]
    assert [(p.marking, p.origin) for p in netlist.parts] == [
        ("two lines", Origin("t.csv", 2)),
        ("x", Origin("t.csv", 4)),
    ]


def test_decimal_commas() -> None:
    """Behind semicolons or in quotes they are read; loose ones give a row too many cells and are refused."""
    assert [p.marking for p in read("part;pin;net;value\nC1;1;A;0,1uF\nR1;1;A;4,7k\n").parts] == [
        "0,1uF",
        "4,7k",
    ]
    assert read('part,pin,net,value\nR1,1,A,"4,7k"\n').parts[0].marking == "4,7k"


def test_facts_of_pins_and_parts() -> None:
    netlist = read(
        "Component;Pin Number;Pin Name;Signal;Part Number;Position;Pin Type\n"
        "U9;1;/CLR;CLEAR;SN74LS273N;7E;input\nU9;2;Q0;RED2;;;output\n"
    )
    part = netlist.parts[0]
    assert (part.marking, part.place) == ("SN74LS273N", "7E")
    assert part.pins == (Pin("1", "/CLR", "input"), Pin("2", "Q0", "output"))


def test_the_word_part_is_the_marking_beside_a_reference() -> None:
    assert read("Ref,Part,Pin,Net\nU9,74LS273,1,A\n").parts[0].marking == "74LS273"
    assert read("Part,Pin,Net\nU9,1,A\n").parts[0].reference == "U9"


def test_two_markings_of_one_part() -> None:
    netlist = read("part,pin,net,value\nU9,1,A,74LS273\nU9,2,B,74LS374\nU9,3,C,\n")
    assert netlist.parts[0].marking == "74LS273"
    assert [(f.code, f.severity, f.where, f.text) for f in netlist.findings] == [
        (
            "contradiction",
            "warning",
            ("U9",),
            "U9 is 74LS273 in line 2 and 74LS374 in line 3; the first is kept",
        )
    ]


def test_one_pin_on_two_nets_stays_on_both_and_is_said() -> None:
    netlist = read("part,pin,net\nU9,1,A\nU9,1,B\nU8,1,A\nU7,1,B\n")
    assert netlist.nets_of_pins[PinRef("U9", "1")] == ("A", "B")
    assert [f.code for f in check_netlist(netlist)] == ["pin-on-two-nets"]


def test_comments_and_empty_rows_are_left_out() -> None:
    assert nets("# by hand\npart,pin,net\n\nU9,2,RED\n,,\n# later: R6\nR5,1,RED\nU9,10,GND\n") == EXPECTED


def test_a_counting_column_is_no_comment() -> None:
    assert nets("#,part,pin,net\n1,U9,2,RED\n2,R5,1,RED\n3,U9,10,GND\n") == EXPECTED


def test_cells_behind_the_last_known_column_may_be_missing() -> None:
    assert nets("part,pin,net,remark\nU9,2,RED\nR5,1,RED,x\nU9,10,GND,,,\n") == EXPECTED


def test_a_header_alone() -> None:
    netlist = read("part,pin,net\n")
    assert (netlist.parts, netlist.nets) == ((), ())
