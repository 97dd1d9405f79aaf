"""EDIF 2 0 0: names, cells, sheets, buses. What clauses mean is from memory of EIA-548, unless a test says otherwise."""

from __future__ import annotations

import pytest

from tracer.base.errors import NetlistError
from tracer.importers import parse_netlist
from tracer.importers.edif.names import decoded
from tracer.netlist.board import Netlist, Origin, Pin, PinRef
from tracer.netlist.check import check_netlist

R = "(cell R (cellType GENERIC) (view V (viewType NETLIST) (interface (port &1) (port &2))))"
USE = "(viewRef V (cellRef %s (libraryRef PARTS)))"


def read(inside: str, cells: str = R, ports: str = "", sheets: str = "", more: str = "") -> Netlist:
    return parse_netlist(
        f"(edif B (edifVersion 2 0 0) (edifLevel 0) {more}\n(library PARTS (edifLevel 0) {cells})\n"
        f"(library SHEETS {sheets}\n(cell TOP (view V (viewType NETLIST) (interface {ports})\n(contents {inside}))))\n"
        "(design B (cellRef TOP (libraryRef SHEETS))))",
        "b.edf",
    )


def part(name: str, cell: str = "R", more: str = "") -> str:
    return f"(instance {name} {USE % cell} {more})"


def net(name: str, *ends: str) -> str:
    """Ends are ``PORT INSTANCE``, or a port of the cell alone."""
    joined = [
        f"(portRef {end})"
        if "(" in end or " " not in end
        else "(portRef {} (instanceRef {}))".format(*end.split())
        for end in ends
    ]
    return f"(net {name} (joined {' '.join(joined)}))"


def nets(netlist: Netlist) -> dict[str, list[str]]:
    return {net.name: [str(pin) for pin in net.pins] for net in netlist.nets}


def codes(netlist: Netlist) -> list[str]:
    return [finding.code for finding in check_netlist(netlist)]


def test_parts_and_nets() -> None:
    netlist = read(
        part("R1") + part("R2") + net('(rename N1 "/a b/RED")', "&1 R1", "&2 R2") + net("BLUE", "&2 R1")
    )
    assert nets(netlist) == {"/a b/RED": ["R1.1", "R2.2"], "BLUE": ["R1.2"]}
    first = netlist.parts[0]
    assert (first.reference, first.symbol, first.library, first.pins) == (
        "R1",
        "R",
        "PARTS",
        (Pin("1"), Pin("2")),
    )
    assert first.origin == Origin("b.edf", 5, 11)
    # A pin that no net names is not stated.
    assert PinRef("R2", "1") not in netlist.nets_of_pins


def test_facts_of_a_part() -> None:
    facts = (
        '(property Comment (string "x")) (property (rename VALUE "Value") (string "4k7 1%37%"))'
        ' (property PCB_FOOTPRINT (string "R0805")) (property Place (string "7E"))'
    )
    found = read(part("R1", more=facts)).parts[0]
    assert (found.marking, found.footprint, found.place) == ("4k7 1%", "R0805", "7E")


@pytest.mark.parametrize(
    ("value", "marking"),
    [
        ('(string "74LS273")', "74LS273"),
        ('(string (stringDisplay "470" (display X)))', "470"),
        ("(integer 470)", "470"),
        ("(number (numberDisplay (e 47 1)))", "470"),
        ("(number (e 47 2))", "4700"),
        ("(number (e 47 -2))", "47e-2"),
        ("(boolean (true))", "true"),
    ],
)
def test_values_of_properties(value: str, marking: str) -> None:
    assert read(part("R1", more=f"(property Value {value})")).parts[0].marking == marking


def test_legs_and_names_of_pins() -> None:
    """A leg is the port's designator, else its name; an instance may tell the legs of its own."""
    gate = (
        '(cell GATE (view V (viewType NETLIST) (interface (port A (direction INPUT) (designator "1"))'
        ' (port (rename Y "~Y") (direction OUTPUT) (designator "3")) (port G (direction INOUT)))))'
    )
    second = '(designator "U1") (portInstance A (designator "4")) (portInstance y (designator "6"))'
    netlist = read(
        part("U1", "GATE")
        + part("U1B", "GATE", second)
        + net("N", "A U1", "A U1B")
        + net("M", "Y U1B", "G U1"),
        gate,
    )
    assert nets(netlist) == {"N": ["U1.1", "U1.4"], "M": ["U1.6", "U1.G"]}
    assert {pin.number: (pin.name, pin.kind) for pin in netlist.parts[0].pins} == {
        "1": ("A", "input"),
        "3": ("~Y", "output"),
        "G": ("G", "bidirectional"),
        "4": ("A", "input"),
        "6": ("~Y", "output"),
    }


def test_two_ports_of_one_name_are_two_pins() -> None:
    """Only what has no leg of its own takes its identifier, and never one that is another's."""
    cell = (
        '(cell U (view V (viewType NETLIST) (interface (port (rename P1 "GND")) (port (rename P2 "GND"))'
        ' (port P1_) (port (rename &7 "GND") (designator "8")))))'
    )
    netlist = read(
        part("U1", "U") + net("A", "P1 U1") + net("B", "P2 U1", "P1_ U1") + net("C", "&7 U1"), cell
    )
    assert nets(netlist) == {"A": ["U1.P1"], "B": ["U1.P1_", "U1.P2"], "C": ["U1.8"]}
    assert {pin.number: pin.name for pin in netlist.parts[0].pins} == {
        "P1": "GND",
        "P2": "GND",
        "P1_": "P1_",
        "8": "GND",
    }


def test_keywords_and_identifiers_in_any_case() -> None:
    """A name that differs in case only is another's where both are there (yosys writes n1 and N1)."""
    text = (
        part("R1")
        + part("r1")
        + "(NET n1 (Joined (PORTREF &1 (INSTANCEREF R1))))"
        + net("N1", "&1 r1", "&2 R1")
    )
    netlist = read(text)
    assert nets(netlist) == {"n1": ["R1.1"], "N1": ["R1.2", "r1.1"]}
    assert "case-twins" in codes(netlist)
    assert nets(read(part("R1") + net("N", "&1 r1"))) == {"N": ["R1.1"]}
    twins = (
        '(cell U (view V (viewType NETLIST) (interface (port a (designator "1")) (port A (designator "2")))))'
    )
    both = read(part("U1", "U") + net("n1", "a U1") + net("N1", "A U1"), twins)
    assert nets(both) == {"n1": ["U1.1"], "N1": ["U1.2"]}


def test_two_nets_of_one_name_are_kept_apart() -> None:
    netlist = read(part("R1") + net('(rename a "RED")', "&1 R1") + net('(rename b "RED")', "&2 R1"))
    assert nets(netlist) == {"RED": ["R1.1"], "RED (b)": ["R1.2"]}
    assert [(f.code, f.severity) for f in netlist.findings] == [("name-twins", "warning")]


def test_a_net_that_stands_twice_is_one_and_said() -> None:
    netlist = read(part("R1") + net("RED", "&1 R1") + net("RED", "&2 R1"))
    assert nets(netlist) == {"RED": ["R1.1", "R1.2"]}
    assert [f.code for f in netlist.findings] == ["duplicate-net"]


def test_two_nets_of_one_identifier_and_two_names_are_kept_apart() -> None:
    """Nothing refers to a net by its identifier, so that both can be what they are called."""
    netlist = read(part("R1") + net('(rename N1 "RED")', "&1 R1") + net('(rename N1 "BLUE")', "&2 R1"))
    assert nets(netlist) == {"RED": ["R1.1"], "BLUE": ["R1.2"]}
    assert [(f.code, f.severity, f.text) for f in netlist.findings] == [
        ("name-twins", "warning", "nets RED and BLUE have one identifier, N1; they were kept apart")
    ]


def test_instances_of_one_designator_are_kept_apart() -> None:
    """Parts that nobody numbered: through none of them is one net joined to another's."""
    lone = '(designator "R?")'
    netlist = read(
        part("I1", more=lone)
        + part("&I2", more=lone)
        + part("I3", more=lone)
        + net("A", "&1 I1", "&1 I3")
        + net("B", "&2 I1", "&1 &I2", "&2 I3")
        + net("C", "&2 &I2", "&3 &I2")
    )
    assert nets(netlist) == {
        "A": ["R?.1", "R?_I3.1"],
        "B": ["R?.2", "R?_I2.1", "R?_I3.2"],
        "C": ["R?_I2.2", "R?_I2.3"],
    }
    assert {p.reference: len(p.pins) for p in netlist.parts} == {"R?": 2, "R?_I2": 2, "R?_I3": 2}
    assert [(f.code, f.text) for f in netlist.findings] == [
        (
            "duplicate-part",
            "2 instance(s) have the designator of another part and were kept apart from it: R?_I2, R?_I3; number them in "
            "the drawing",
        ),
        ("undeclared-pin", "1 pin(s) stand in nets but not in their parts' cells: R?_I2.3"),
    ]


#: A gate of a package, and its legs in two sections of it.
GATE = (
    "(cell GATE (view V (viewType NETLIST) (interface (port A (direction INPUT)) (port Y (direction OUTPUT))"
    ' (port VCC (designator "14")))))'
)


def section(name: str, a: str, y: str) -> str:
    legs = f'(designator "U1") (portInstance A (designator "{a}")) (portInstance Y (designator "{y}"))'
    return part(name, "GATE", legs)


def test_sections_of_one_part_are_one_part() -> None:
    """Each has legs of its own; the supply's leg, which all show, stands on one net."""
    netlist = read(
        section("G1", "1", "2")
        + section("G2", "3", "4")
        + section("G3", "5", "6")
        + net("N", "Y G1", "A G2")
        + net("P", "VCC G1", "VCC G2"),
        GATE,
    )
    assert nets(netlist) == {"N": ["U1.2", "U1.3"], "P": ["U1.14"]}
    assert [p.reference for p in netlist.parts] == ["U1"]
    assert netlist.findings == ()


def test_sections_whose_supplies_differ_are_two_parts() -> None:
    netlist = read(
        section("G1", "1", "2") + section("G2", "3", "4") + net("P", "VCC G1") + net("Q", "VCC G2"), GATE
    )
    assert nets(netlist) == {"P": ["U1.14"], "Q": ["U1_G2.14"]}
    assert codes(netlist) == ["duplicate-part", "nothing-connected"]


def test_two_sheets_of_one_designator_are_two() -> None:
    sub = '(viewRef V (cellRef SUB)) (designator "S")'
    netlist = read(f"(instance S1 {sub}) (instance S2 {sub})" + net("A", "OUT S1", "IN S2"), sheets=SHEET)
    assert nets(netlist)["A"] == ["S/R2.2", "S_S2/R1.1"]
    assert netlist.findings == ()


def test_two_instances_of_one_identifier() -> None:
    """Which of them a net means cannot be told: the first, and it is said; no pin of the second is stated."""
    netlist = read(part("R1") + part("R1") + net("A", "&1 R1") + net("B", "&2 R1"))
    assert nets(netlist) == {"A": ["R1.1"], "B": ["R1.2"]}
    assert [p.reference for p in netlist.parts] == ["R1", "R1_R1"]
    assert codes(netlist)[:2] == ["duplicate-part", "duplicate-part"]


def test_a_part_whose_cell_is_not_there_and_a_pin_that_its_cell_lacks() -> None:
    netlist = read(part("R1") + part("U1", "OTHER") + net("RED", "&3 R1", "A U1", "&9 X1"))
    assert nets(netlist) == {"RED": ["R1.3", "U1.A", "X1.9"]}
    assert {p.reference: p.symbol for p in netlist.parts} == {"R1": "R", "U1": "OTHER"}
    assert codes(netlist) == ["undeclared-pin", "undeclared-part"]


def test_ports_of_the_board_are_pins_of_a_connector() -> None:
    netlist = read(
        part("R1") + net("RED", "OUT", "&1 R1"), ports="(port OUT (direction OUTPUT)) (port (array D 2))"
    )
    assert nets(netlist) == {"RED": ["PORTS.OUT", "R1.1"]}
    ports = netlist.by_reference["PORTS"]
    assert [(pin.number, pin.kind) for pin in ports.pins] == [(n, "passive") for n in ("OUT", "D[0]", "D[1]")]
    other = read(part("PORTS") + net("RED", "OUT"), ports="(port OUT)")
    assert {p.reference for p in other.parts} == {"PORTS", "PORTS_"}


SHEET = (
    "(cell SUB (view V (viewType NETLIST) (interface (port IN) (port OUT))"
    f" (contents {part('R1')} {part('R2')} {net('A', '&1 R1', 'IN')} {net('B', '&2 R1', '&1 R2')} {net('C', '&2 R2', 'OUT')})))"
)


def test_sheets_are_gone_into() -> None:
    """A sheet used twice is two; a net is called as nearest the top."""
    sub = "(viewRef V (cellRef SUB))"
    netlist = read(
        f"(instance S1 {sub}) (instance S2 {sub})" + net("RED", "IN S1") + net("MID", "OUT S1", "IN S2"),
        sheets=SHEET,
    )
    assert nets(netlist) == {
        "RED": ["S1/R1.1"],
        "S1/B": ["S1/R1.2", "S1/R2.1"],
        "MID": ["S1/R2.2", "S2/R1.1"],
        "S2/B": ["S2/R1.2", "S2/R2.1"],
        "S2/C": ["S2/R2.2"],
    }
    assert {p.reference for p in netlist.parts} == {f"S{s}/R{r}" for s in (1, 2) for r in (1, 2)}


def test_two_nets_at_one_port_are_one_and_said() -> None:
    netlist = read(part("R1") + net("A", "&1 R1", "IN") + net("B", "&2 R1", "IN"), ports="(port IN)")
    assert nets(netlist) == {"A": ["PORTS.IN", "R1.1", "R1.2"]}
    assert [f.text for f in netlist.findings] == ["one port is on nets A and B; they are one net by it"]
    # The same port seen from within and from without is no such case.
    assert read("(instance S (viewRef V (cellRef SUB)))" + net("A", "IN S"), sheets=SHEET).findings == ()


@pytest.mark.parametrize(
    ("shown", "member", "pin"),
    [
        ("D", 2, "D[2]"),
        ("D[7:0]", 2, "D[5]"),
        ("D[0:7]", 2, "D[2]"),
        ("D<7:0>", 0, "D<7>"),
        ("D[3:0]", 2, "D[3:0][2]"),
    ],
)
def test_members_of_a_bus(shown: str, member: int, pin: str) -> None:
    cell = f'(cell U (view V (viewType NETLIST) (interface (port (array (rename D "{shown}") 8)))))'
    netlist = read(part("U1", "U") + net("RED", f"(member D {member}) (instanceRef U1)"), cell)
    assert nets(netlist) == {"RED": [f"U1.{pin}"]}


def test_a_bus_of_nets_is_joined_wire_by_wire() -> None:
    cell = "(cell U (view V (viewType NETLIST) (interface (port (array D 2)) (port E) (port F))))"
    ends = "(portRef D (instanceRef U1)) (portList (portRef E (instanceRef U1)) (portRef F (instanceRef U1)))"
    netlist = read(part("U1", "U") + f"(net (array B 2) (joined {ends}))", cell)
    assert nets(netlist) == {"B[0]": ["U1.D[0]", "U1.E"], "B[1]": ["U1.D[1]", "U1.F"]}


def test_arrays_of_instances_and_bundles_of_nets() -> None:
    bundle = f"(netBundle BUS (listOfNets {net('A', '&1 (instanceRef (member R 0))')} {net('B', '&1 (instanceRef (member R 1))')}))"
    assert nets(read(f"(instance (array R 2) {USE % 'R'})" + bundle)) == {"A": ["R[0].1"], "B": ["R[1].1"]}


def test_nets_in_nets_are_part_of_them() -> None:
    netlist = read(part("R1") + "(net RED (joined (portRef &1 (instanceRef R1)))" + net("SUB", "&2 R1") + ")")
    assert nets(netlist) == {"RED": ["R1.1", "R1.2"]}


def test_no_connect_words_join_nothing() -> None:
    netlist = read(part("R1") + part("R2") + net("NC", "&1 R1", "&1 R2"))
    assert nets(netlist) == {f"unconnected-(R{n}-Pad1)": [f"R{n}.1"] for n in (1, 2)}


def test_the_board_without_a_design_clause() -> None:
    text = (
        f"(edif B (edifVersion 2 0 0) (library PARTS {R}) (library SHEETS"
        f" (cell TOP (view V (viewType NETLIST) (interface) (contents {part('R1')} {net('RED', '&1 R1')})))))"
    )
    assert nets(parse_netlist(text, "b.edf")) == {"RED": ["R1.1"]}


def test_clauses_that_are_not_known_are_counted() -> None:
    netlist = read(part("R1") + "(marvel) (marvel)" + "(net RED (joined) (wonder))")
    assert [f.text for f in netlist.findings] == [
        "clauses that this reader does not know were skipped: 2 x marvel, 1 x wonder in a net"
    ]


def test_strings_have_codes_and_no_escapes() -> None:
    netlist = read(part("R1") + net(r'(rename a "C:\RED%34%")', "&1 R1"))
    assert list(nets(netlist)) == [r'C:\RED"']
    assert decoded("100% %65%") == "100% %65%"


def test_the_errors_names_are_those_of_the_file() -> None:
    with pytest.raises(NetlistError) as caught:
        read(part("R1") + net("RED", "X"))
    assert (caught.value.what, caught.value.line) == ("the cell itself has no port X", 5)
