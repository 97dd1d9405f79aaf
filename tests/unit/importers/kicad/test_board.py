"""KiCad boards: pads carry the nets. The clauses are those of KiCad 5.1, 6 and 9 (boards of Debian's kicad-demos)."""

from __future__ import annotations

import pytest

from tracer.importers import parse_netlist
from tracer.netlist.board import Netlist, Origin, Pin, PinRef
from tracer.netlist.check import check_netlist

TABLE = '(net 0 "") (net 1 "RED") (net 2 "/a b/RED") (net 3 "UNUSED")'


def read(footprints: str, version: str = "20241229", table: str = TABLE) -> Netlist:
    return parse_netlist(
        f"(kicad_pcb (version {version}) (generator pcbnew)\n{table}\n{footprints})", "b.kicad_pcb"
    )


def footprint(pads: str, reference: str = "U9", more: str = "") -> str:
    return (
        f'(footprint "lib:DIP-20" (layer "F.Cu") (property "Reference" "{reference}" (at 0 0))\n'
        f'(property "Value" "74LS273" (at 0 1)) {more} {pads})'
    )


def pad(number: str, net: str = "", more: str = "") -> str:
    return f'(pad "{number}" thru_hole circle (at 0 0) (size 1 1) (layers "*.Cu") {net} {more})'


def nets(netlist: Netlist) -> dict[str, list[str]]:
    return {net.name: [str(pin) for pin in net.pins] for net in netlist.nets}


def codes(netlist: Netlist) -> list[str]:
    return [finding.code for finding in check_netlist(netlist)]


def test_a_part() -> None:
    pads = pad("1", '(net 1 "RED")', '(pinfunction "~{MR}") (pintype "input")') + pad(
        "2", more='(pintype "no_connect")'
    )
    part = read(footprint(pads, more='(property "Place" "7E" (at 0 0)) (attr through_hole)')).parts[0]
    assert (part.reference, part.marking, part.symbol, part.footprint) == ("U9", "74LS273", "", "lib:DIP-20")
    assert part.pins == (Pin("1", "~{MR}", "input"), Pin("2", "", "no_connect"))
    assert (part.place, part.fitted, part.origin) == ("7E", True, Origin("b.kicad_pcb", 3, 1))


def test_a_part_of_kicad_5_and_before() -> None:
    """Bare words, ``module``, texts in place of properties; words of the user are no values."""
    text = (
        "(module Resistor:R (layer F.Cu) (fp_text user %R (at 0 0)) (fp_text reference R7 (at 0 0))"
        " (fp_text value 4k7 (at 0 0)) (pad 1 smd rect (net 1 RED)) (pad 2 smd rect (net 2 GND)))"
    )
    netlist = read(text, "20171130", '(net 0 "") (net 1 RED) (net 2 GND)')
    assert (netlist.parts[0].reference, netlist.parts[0].marking) == ("R7", "4k7")
    assert nets(netlist) == {"RED": ["R7.1"], "GND": ["R7.2"]}


@pytest.mark.parametrize("flag", ["(attr smd dnp)", "(property dnp)"])
def test_a_part_that_is_not_fitted(flag: str) -> None:
    assert not read(footprint(pad("1"), more=flag)).parts[0].fitted


def test_several_pads_of_a_number_are_one_pin() -> None:
    """Of pads of one number only one need have the net, as those under a chip's belly do."""
    netlist = read(footprint(pad("1") + pad("1", '(net 1 "RED")') + pad("1", '(net 1 "RED")')))
    assert nets(netlist) == {"RED": ["U9.1"], "/a b/RED": [], "UNUSED": []}


def test_pads_without_a_net_are_alone_and_pads_without_a_number_are_no_pins() -> None:
    netlist = read(footprint(pad("1") + pad("2", '(net 0 "")') + pad("") + pad("") + pad("~")))
    assert nets(netlist) == {
        **{name: [] for name in ("RED", "/a b/RED", "UNUSED")},
        "unconnected-(U9-Pad1)": ["U9.1"],
        "unconnected-(U9-Pad2)": ["U9.2"],
    }
    assert codes(netlist) == ["nothing-connected"]


@pytest.mark.parametrize("number", ["", "~"])
def test_copper_on_a_net_without_a_number_is_said(number: str) -> None:
    netlist = read(footprint(pad("1", '(net 1 "RED")') + pad(number, '(net 1 "RED")')))
    assert codes(netlist) == ["skipped-clause", "nothing-connected"]
    assert netlist.findings[0].text == (
        "1 pad(s) without a number stand on nets and were taken as copper, not as pins: on U9"
    )


def test_the_name_of_a_lone_pad_is_not_that_of_a_net() -> None:
    netlist = read(
        footprint(pad("1") + pad("2", '(net 1 "unconnected-(U9-Pad1)")')),
        table='(net 1 "unconnected-(U9-Pad1)")',
    )
    assert nets(netlist) == {"unconnected-(U9-Pad1)": ["U9.2"], "unconnected-(U9-Pad1)_": ["U9.1"]}


def test_nets_by_name_alone_and_by_number_alone() -> None:
    """Later files leave out the number; a name may then look like one."""
    assert nets(read(footprint(pad("1", '(net "A 1")') + pad("2", '(net "5")')), "20260101", ""))["5"] == [
        "U9.2"
    ]
    assert nets(read(footprint(pad("1", "(net 2)"))))["/a b/RED"] == ["U9.1"]


def test_a_pad_whose_net_is_called_otherwise_in_the_table() -> None:
    netlist = read(footprint(pad("1", '(net 1 "BLUE")')))
    assert (nets(netlist)["BLUE"], nets(netlist)["RED"]) == (["U9.1"], [])
    assert netlist.findings[0].code == "contradiction"
    assert "the table of nets calls 1 RED" in netlist.findings[0].text


def test_one_pin_on_two_nets_joins_nothing() -> None:
    netlist = read(footprint(pad("1", '(net 1 "RED")') + pad("1", '(net 2 "/a b/RED")')))
    assert nets(netlist)["RED"] == nets(netlist)["/a b/RED"] == ["U9.1"]
    assert "pin-on-two-nets" in codes(netlist)


def test_footprints_of_one_reference_are_said() -> None:
    netlist = read(footprint(pad("1", '(net 1 "RED")')) + footprint(pad("2", '(net 1 "RED")')))
    assert [finding.text for finding in netlist.findings] == [
        "2 footprints are called U9; the pads of all are on one part"
    ]
    assert nets(netlist)["RED"] == ["U9.1", "U9.2"]


def test_footprints_without_a_reference_are_kept_apart() -> None:
    """Two holes called ``REF**`` have nothing to do with one another; a picture in ink is no part."""
    hole = footprint(pad("1", '(net 1 "RED")'), "REF**")
    netlist = read("\n".join([hole, hole, footprint("", "REF**"), footprint(pad("7"), "")]))
    assert [part.reference for part in netlist.parts] == ["REF**:3", "REF**:5", "REF**:9"]
    assert nets(netlist)["RED"] == ["REF**:3.1", "REF**:5.1"]
    assert codes(netlist) == ["unannotated"]


@pytest.mark.parametrize(
    ("version", "function", "name"),
    [
        ("20241229", "Pin_1", "Pin_1"),
        ("20260101", "Pin_1", "Pin"),
        ("20241229", "~", ""),
        ("20260101", "~", ""),
    ],
)
def test_names_of_pins(version: str, function: str, name: str) -> None:
    """Later files put the number behind every name; in earlier ones it is part of the name."""
    part = read(footprint(pad("1", more=f'(pinfunction "{function}")')), version).parts[0]
    assert part.pins == (Pin("1", name),)


def test_clauses_that_are_not_known_are_counted() -> None:
    netlist = read(
        "(marvel 1) (marvel 2) (segment (net 1))" + footprint(pad("1", "(net 1)") + pad("2", "(net 1)"))
    )
    assert [finding.text for finding in netlist.findings] == [
        "clauses that this reader does not know were skipped: 2 x marvel"
    ]


def test_names_in_quotes_with_escapes() -> None:
    netlist = read(footprint(pad("1", '(net 1 "A\\"B\\\\C")')), table='(net 1 "A\\"B\\\\C")')
    assert nets(netlist) == {'A"B\\C': ["U9.1"]}
    assert netlist.nets_of_pins == {PinRef("U9", "1"): ('A"B\\C',)}
