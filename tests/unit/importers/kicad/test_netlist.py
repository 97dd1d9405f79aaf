"""KiCad netlists, versions D and E.

The clauses are those that KiCad 5.1, 6, 8 and 9 write (seen in the files of ``test_netlist_counts.py``).
"""

from __future__ import annotations

import pytest

from tracer.base.errors import NetlistError
from tracer.importers import parse_netlist
from tracer.netlist.board import Netlist, Origin, Pin, PinRef


def read(components: str = "", libparts: str = "", nets: str = "", more: str = "") -> Netlist:
    return parse_netlist(
        f'(export (version "E") {more}\n(components {components})\n(libparts {libparts})\n(nets {nets}))',
        "b.net",
    )


U9 = '(comp (ref "U9") (value "SN74LS273N") (footprint "DIP-20") (libsource (lib "74xx") (part "74LS273") (description "x")))'
LIB = (
    '(libpart (lib "74xx") (part "74LS273") (aliases (alias "74HC273")) (pins '
    '(pin (num "1") (name "~{Mr}") (type "input")) (pin (num "2") (name "Q0") (type "output")) '
    '(pin (num "20") (name "~") (type "power_in"))))'
)


def test_a_part() -> None:
    part = read(U9).parts[0]
    assert (part.reference, part.marking, part.symbol, part.library, part.footprint) == (
        "U9",
        "SN74LS273N",
        "74LS273",
        "74xx",
        "DIP-20",
    )
    assert (part.place, part.fitted, part.pins) == ("", True, ())
    assert part.origin == Origin("b.net", 2, 13)


def test_version_d_with_bare_words() -> None:
    text = r"""(export (version D)
  (design (source C:\TEMP\a.sch))
  (components (comp (ref R1) (value 4k7) (libsource (lib Device) (part R))))
  (nets (net (code 1) (name Net-(R1-Pad1)) (node (ref R1) (pin 1)))))"""
    netlist = parse_netlist(text.replace("Net-(R1-Pad1)", '"Net-(R1-Pad1)"'), "b.net")
    assert netlist.parts[0].marking == "4k7"
    assert netlist.nets[0].pins == (PinRef("R1", "1"),)


@pytest.mark.parametrize(
    "clauses",
    [
        '(fields (field (name "Place") "7E"))',
        '(property (name "Location") (value "7E"))',
        '(fields (field (name "Note") "x") (field (name "LOC") "7E"))',
    ],
)
def test_place_on_the_board(clauses: str) -> None:
    assert read(U9[:-1] + clauses + ")").parts[0].place == "7E"


@pytest.mark.parametrize("value", ["~", ""])
def test_an_empty_value_is_no_marking(value: str) -> None:
    part = read(U9.replace("SN74LS273N", value)).parts[0]
    assert (part.marking, part.symbol) == ("", "74LS273")


def test_a_marking_may_begin_with_a_micro_sign() -> None:
    assert read(U9.replace("SN74LS273N", "µPD4164")).parts[0].marking == "µPD4164"


def test_a_part_that_is_not_fitted() -> None:
    assert not read(U9[:-1] + '(property (name "dnp")))').parts[0].fitted
    assert read(U9[:-1] + '(property (name "exclude_from_bom")))').parts[0].fitted


def test_pins_come_from_the_symbol() -> None:
    """Version D has pin names nowhere else."""
    assert read(U9, LIB).parts[0].pins == (
        Pin("1", "~{Mr}", "input"),
        Pin("2", "Q0", "output"),
        Pin("20", "", "power_in"),
    )


def test_a_symbol_may_be_named_by_its_alias() -> None:
    assert len(read(U9.replace('(part "74LS273")', '(part "74HC273")'), LIB).parts[0].pins) == 3


def test_pins_come_from_the_nodes_where_there_is_no_symbol() -> None:
    nodes = (
        '(net (code "1") (name "A") (node (ref "U9") (pin "2") (pinfunction "Q0") (pintype "output")))'
        '(net (code "2") (name "B") (node (ref "U9") (pin "1") (pinfunction "GND_1") (pintype "power_in+no_connect")))'
        '(net (code "3") (name "C") (node (ref "U9") (pin "3") (pinfunction "~")))'
        '(net (code "4") (name "D") (node (ref "U9") (pin "4") (pinfunction "_4")))'
    )
    pins = {pin.number: pin for pin in read(U9, nets=nodes).parts[0].pins}
    assert pins == {
        "2": Pin("2", "Q0", "output"),
        # KiCad 8 and later number names that occur twice by the pin.
        "1": Pin("1", "GND", "power_in"),
        "3": Pin("3"),
        "4": Pin("4", "_4"),
    }


def test_the_symbol_names_a_pin_and_the_node_types_it() -> None:
    """A node tells what the drawing chose; its name may carry an added number."""
    node = '(net (name "A") (node (ref "U9") (pin "2") (pinfunction "Q0_7") (pintype "tri_state")))'
    pins = read(U9, LIB, node).parts[0].pins
    assert pins[1] == Pin("2", "Q0", "tri_state")


def test_the_sign_of_an_overbar_is_part_of_a_name() -> None:
    """Alone it stands for no name; KiCad 5 writes it in front of a word, later ones around it."""
    lib = LIB.replace("Q0", "R/~W")
    assert read(U9, lib).parts[0].pins[1] == Pin("2", "R/~W", "output")
    nodes = (
        '(net (name "A") (node (ref "U9") (pin "1") (pinfunction "~{Mr}")))'
        '(net (name "B") (node (ref "U9") (pin "2") (pinfunction "~{OE}_2")))'
    )
    assert read(U9, nets=nodes).parts[0].pins == (Pin("1", "~{Mr}"), Pin("2", "~{OE}"))


def test_nets() -> None:
    netlist = read(
        nets='(net (code "2") (name "/sheet/RED") (class "Default") (node (ref "R10") (pin "1")) (node (ref "R2") (pin "1")))\n'
        '(net (code "1") (name "VPP{slash}MCLR"))'
    )
    assert [(net.name, net.pins, net.origin) for net in netlist.nets] == [
        ("/sheet/RED", (PinRef("R2", "1"), PinRef("R10", "1")), Origin("b.net", 4, 7)),
        ("VPP{slash}MCLR", (), Origin("b.net", 5, 1)),
    ]


def test_nets_of_one_name_are_one_and_a_pin_named_twice_is_one() -> None:
    node = '(node (ref "R1") (pin "1"))'
    netlist = read(nets=f'(net (name "A") {node} {node})(net (name "A") {node} (node (ref "R2") (pin "1")))')
    assert [net.pins for net in netlist.nets] == [(PinRef("R1", "1"), PinRef("R2", "1"))]


def test_unknown_clauses_are_skipped_and_said() -> None:
    """Groups and variants came with KiCad 10 and are known to hold no nets."""
    netlist = read(more='(groups) (variants) (later (net (name "X"))) (later) (libraries)')
    assert [(f.code, f.severity, f.text) for f in netlist.findings] == [
        ("skipped-clause", "note", "clauses that this reader does not know were skipped: 2 x later")
    ]


def test_unknown_clauses_inside_are_skipped_silently() -> None:
    comp = U9[:-1] + '(units (unit (name "A") (pins (pin (num "1"))))) (component_classes) (tstamps "x"))'
    netlist = read(
        comp,
        LIB[:-1] + "(duplicate_pin_numbers_are_jumpers no))",
        '(net (name "A") (later) (node (ref "U9") (pin "1") (later)))',
    )
    assert netlist.findings == ()
    assert netlist.nets[0].pins == (PinRef("U9", "1"),)


def test_a_net_without_a_name_or_pins_is_legal() -> None:
    assert [(net.name, net.pins) for net in read(nets="(net)").nets] == [("", ())]


def test_components_without_a_reference_are_left_out() -> None:
    assert read('(comp (value "x"))').parts == ()


def test_no_components_clause() -> None:
    netlist = parse_netlist('(export (nets (net (name "A") (node (ref "U1") (pin "1")))))', "b.net")
    assert netlist.parts == ()
    assert netlist.nets_of_pins == {PinRef("U1", "1"): ("A",)}


@pytest.mark.parametrize("head", ["exported", "edif"])
def test_a_head_that_only_looks_right(head: str) -> None:
    with pytest.raises(NetlistError) as caught:
        parse_netlist(f"({head} (nets))", "b.net", format_name="kicad-netlist")
    assert (
        str(caught.value).split("\n")[0]
        == f"b.net:1:1: a KiCad netlist starts with (export, this one with ({head}"
    )
