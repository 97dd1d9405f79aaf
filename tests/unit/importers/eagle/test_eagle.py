"""Eagle's XML: schematic and board. Elements and attributes are those of ``eagle-9.2.2.dtd`` (PyPI package Swoop)."""

from __future__ import annotations

import pytest

from tracer.importers import parse_netlist
from tracer.netlist.board import Netlist, Origin, Pin, PinRef
from tracer.netlist.check import check_netlist

LIBRARIES = """<libraries><library name="lib">
<packages><package name="DIL4"><pad name="1" x="0" y="0"/><pad name="2" x="0" y="0"/><smd name="3" x="0" y="0"/>
<pad name="4" x="0" y="0"/><hole x="0" y="0"/></package></packages>
<symbols>
<symbol name="GATE"><pin name="!A" x="0" y="0" direction="in"/><pin name="Y@1" x="0" y="0" direction="out"/></symbol>
<symbol name="POWER"><pin name="VCC" x="0" y="0" direction="pwr"/><pin name="GND@2" x="0" y="0" direction="pwr"/></symbol>
<symbol name="SUPPLY"><pin name="VCC" x="0" y="0" direction="sup"/></symbol>
<symbol name="FRAME"/>
</symbols>
<devicesets>
<deviceset name="74*04?"><gates><gate name="A" symbol="GATE" x="0" y="0"/><gate name="P" symbol="POWER" x="0" y="0"/></gates>
<devices><device name="N" package="DIL4"><connects><connect gate="A" pin="!A" pad="1"/><connect gate="A" pin="Y@1" pad="2"/>
<connect gate="P" pin="VCC" pad="3"/><connect gate="P" pin="GND@2" pad="4"/></connects>
<technologies><technology name="LS"><attribute name="PLACE" value="7E"/></technology></technologies></device></devices></deviceset>
<deviceset name="R" uservalue="yes"><gates><gate name="G$1" symbol="GATE" x="0" y="0"/></gates>
<devices><device name="" package="DIL4"><connects><connect gate="G$1" pin="!A" pad="1 3"/><connect gate="G$1" pin="Y@1" pad="2"/>
</connects></device><device name="BARE"/></devices></deviceset>
<deviceset name="VCC"><gates><gate name="1" symbol="SUPPLY" x="0" y="0"/></gates><devices><device name=""/></devices></deviceset>
<deviceset name="A4"><gates><gate name="1" symbol="FRAME" x="0" y="0"/></gates><devices><device name=""/></devices></deviceset>
</devicesets></library></libraries>"""


def part(name: str, deviceset: str = "R", device: str = "", more: str = "", inside: str = "") -> str:
    return (
        f'<part name="{name}" library="lib" deviceset="{deviceset}" device="{device}" {more}>{inside}</part>'
    )


IC = ("74*04?", "N", 'technology="LS"')


def place(*gates: str) -> str:
    """Gates as ``PART GATE``."""
    return "".join('<instance part="{}" gate="{}" x="0" y="0"/>'.format(*gate.split()) for gate in gates)


def net(name: str, *pins: str) -> str:
    """Pins as ``PART GATE PIN``, or ports of modules as ``INSTANCE PORT``."""
    inside = "".join(
        (
            '<pinref part="{}" gate="{}" pin="{}"/>'
            if pin.count(" ") == 2
            else '<portref moduleinst="{}" port="{}"/>'
        ).format(*pin.split())
        for pin in pins
    )
    return f'<net name="{name}" class="0"><segment>{inside}</segment></net>'


def sheet(places: str, nets: str, uses: str = "") -> str:
    return f"<sheet><moduleinsts>{uses}</moduleinsts><instances>{places}</instances><busses/><nets>{nets}</nets></sheet>"


def schematic(parts: str, *sheets: str, more: str = "") -> Netlist:
    return parse_netlist(
        f'<?xml version="1.0"?>\n<eagle version="9.2.2"><drawing><schematic>{LIBRARIES}{more}\n<parts>{parts}</parts>'
        f"<sheets>{''.join(sheets)}</sheets></schematic></drawing></eagle>",
        "b.sch",
    )


def nets(netlist: Netlist) -> dict[str, list[str]]:
    return {net.name: [str(pin) for pin in net.pins] for net in netlist.nets}


def codes(netlist: Netlist) -> list[str]:
    return [finding.code for finding in check_netlist(netlist)]


def test_a_part() -> None:
    netlist = schematic(part("IC1", *IC), sheet(place("IC1 A", "IC1 P"), ""))
    chip = netlist.parts[0]
    assert (chip.reference, chip.marking, chip.symbol, chip.library) == ("IC1", "74LS04N", "74LS04", "lib")
    assert (chip.footprint, chip.place, chip.fitted) == ("DIL4", "7E", True)
    assert chip.pins == (
        Pin("1", "~{A}", "input"),
        Pin("2", "Y", "output"),
        Pin("3", "VCC", "power_in"),
        Pin("4", "GND", "power_in"),
    )
    assert chip.origin == Origin("b.sch", 22, 8)


def test_the_value_that_was_typed_counts_and_an_attribute_of_the_part() -> None:
    typed = part("R1", more='value="470"', inside='<attribute name="Place" value="2F"/>')
    found = schematic(typed, sheet(place("R1 G$1"), "")).parts[0]
    assert (found.marking, found.symbol, found.place) == ("470", "R", "2F")
    assert schematic(part("R1"), sheet(place("R1 G$1"), "")).parts[0].marking == ""


def test_variants() -> None:
    defs = '<variantdefs><variantdef name="cheap" current="yes"/><variantdef name="full"/></variantdefs>'
    changed = '<variant name="cheap" populate="no"/><variant name="full" value="1k"/>'
    other = '<variant name="cheap" value="2k"/>'
    parts = part("R1", more='value="470"', inside=changed) + part("R2", more='value="470"', inside=other)
    found = schematic(parts, sheet(place("R1 G$1", "R2 G$1"), ""), more=defs).parts
    assert [(p.marking, p.fitted) for p in found] == [("470", False), ("2k", True)]


def test_nets_of_one_name_are_one_over_all_sheets() -> None:
    netlist = schematic(
        part("R1") + part("R2"),
        sheet(place("R1 G$1"), net("RED", "R1 G$1 Y@1") + net("red", "R1 G$1 !A")),
        sheet(place("R2 G$1"), net("RED", "R2 G$1 Y@1") + net("N$1")),
    )
    # A pin with two pads is two legs; a pin of a drawn gate without a wire is alone; a net without a pin is kept.
    assert nets(netlist) == {
        "RED": ["R1.2", "R2.2"],
        "red": ["R1.1", "R1.3"],
        "N$1": [],
        "unconnected-(R2-Pad1)": ["R2.1"],
        "unconnected-(R2-Pad3)": ["R2.3"],
    }


def test_supply_pins_without_a_wire_are_on_the_nets_of_their_names() -> None:
    netlist = schematic(
        part("IC1", *IC) + part("IC2", *IC) + part("P1", "VCC"),
        sheet(place("IC1 A", "IC2 P", "P1 1"), net("VCC", "P1 1 VCC") + net("-5V", "IC2 P GND@2")),
    )
    found = nets(netlist)
    assert (found["VCC"], found["GND"], found["-5V"]) == (["IC1.3", "IC2.3"], ["IC1.4"], ["IC2.4"])
    # Gate A of IC2 is not drawn: nothing is stated of its pins.
    assert netlist.net_of(PinRef("IC2", "1")) is None
    assert netlist.net_of(PinRef("IC1", "1")) == "unconnected-(IC1-Pad1)"
    assert [(f.code, f.severity) for f in netlist.findings] == [("hidden-supply", "note")]
    assert "IC1.3, IC1.4, IC2.3" in netlist.findings[0].text


def test_supply_symbols_and_frames_are_no_parts() -> None:
    netlist = schematic(
        part("P1", "VCC") + part("FRAME1", "A4") + part("R1"),
        sheet(place("P1 1", "FRAME1 1", "R1 G$1"), net("VCC", "P1 1 VCC", "R1 G$1 Y@1")),
    )
    assert [p.reference for p in netlist.parts] == ["R1"]
    assert nets(netlist)["VCC"] == ["R1.2"]


def test_pins_without_a_leg_keep_their_names() -> None:
    netlist = schematic(part("R1", device="BARE"), sheet(place("R1 G$1"), net("RED", "R1 G$1 Y@1")))
    assert nets(netlist) == {"RED": ["R1.Y@1"], "unconnected-(R1-Pad!A)": ["R1.!A"]}
    assert "undeclared-pin" in codes(netlist)


def test_a_part_whose_device_is_not_in_the_file() -> None:
    netlist = schematic(part("U1", "NONE", more='value="6116"'), sheet("", net("RED", "U1 G$1 D0", "X9 A B")))
    assert nets(netlist) == {"RED": ["U1.D0", "X9.B"]}
    assert netlist.parts[0].marking == "6116"
    assert [(f.code, f.severity) for f in netlist.findings] == [
        ("undeclared-pin", "note"),
        ("undeclared-pin", "warning"),
    ]


MODULE = (
    '<modules><module name="MOD" dx="1" dy="1"><ports><port name="IN" side="left" coord="0"/></ports>'
    f"<parts>{part('R1')}{part('P1', 'VCC')}</parts><sheets>"
    + sheet(place("R1 G$1", "P1 1"), net("IN", "R1 G$1 !A") + net("VCC", "R1 G$1 Y@1", "P1 1 VCC"))
    + "</sheets></module></modules>"
)
TWO_USES = '<moduleinst name="A" module="MOD" offset="100" x="0" y="0"/><moduleinst name="B" module="MOD" x="0" y="0"/>'


def test_modules_are_gone_into() -> None:
    """Nets inside are their own but for those of ports; a supply inside is kept apart, and said."""
    netlist = schematic(
        part("R1"),
        sheet(
            place("R1 G$1"),
            net("RED", "R1 G$1 !A", "A IN") + net("VCC", "R1 G$1 Y@1") + net("X", "B IN"),
            TWO_USES,
        ),
        more=MODULE,
    )
    assert nets(netlist) == {
        "RED": ["R1.1", "R1.3", "R101.1", "R101.3"],
        "VCC": ["R1.2"],
        "A/VCC": ["R101.2"],
        "X": ["B:R1.1", "B:R1.3"],
        "B/VCC": ["B:R1.2"],
    }
    assert [(f.code, f.severity) for f in netlist.findings] == [("module-supply", "warning")]


def test_nets_of_a_module_that_are_called_like_one_of_the_board() -> None:
    netlist = schematic(
        part("R1"), sheet(place("R1 G$1"), net("A/VCC", "R1 G$1 !A", "R1 G$1 Y@1"), TWO_USES), more=MODULE
    )
    assert nets(netlist)["A/VCC"] == ["R1.1", "R1.2", "R1.3"]
    assert nets(netlist)["A/VCC_"] == ["R101.2"]
    assert "name-twins" in codes(netlist)


def board(elements: str, signals: str) -> Netlist:
    return parse_netlist(
        f"<eagle><drawing><board>{LIBRARIES}<elements>{elements}</elements><signals>{signals}</signals></board>"
        "</drawing></eagle>",
        "b.brd",
    )


def element(name: str, package: str = "DIL4", more: str = "", inside: str = "") -> str:
    return f'<element name="{name}" library="lib" package="{package}" value="470" x="0" y="0" {more}>{inside}</element>'


def signal(name: str, *pads: str) -> str:
    contacts = "".join('<contactref element="{}" pad="{}"/>'.format(*pad.split(".")) for pad in pads)
    return (
        f'<signal name="{name}">{contacts}<wire x1="0" y1="0" x2="1" y2="1" width="0.3" layer="1"/></signal>'
    )


def test_a_board() -> None:
    netlist = board(
        element("R1", inside='<attribute name="LOCATION" value="7E"/>') + element("R2", more='populate="no"'),
        signal("RED", "R1.1", "R2.2") + signal("red", "R1.2", "R1.3") + signal("EMPTY"),
    )
    first, second = netlist.parts
    assert (first.marking, first.footprint, first.place, first.library) == ("470", "DIL4", "7E", "lib")
    assert first.pins == tuple(Pin(str(number)) for number in range(1, 5))
    assert (first.fitted, second.fitted) == (True, False)
    assert nets(netlist) == {
        "RED": ["R1.1", "R2.2"],
        "red": ["R1.2", "R1.3"],
        "EMPTY": [],
        "unconnected-(R1-Pad4)": ["R1.4"],
        **{f"unconnected-(R2-Pad{n})": [f"R2.{n}"] for n in (1, 3, 4)},
    }


def test_pads_that_no_package_has() -> None:
    netlist = board(element("R1") + element("U1", "NONE"), signal("RED", "R1.9", "U1.1"))
    assert nets(netlist)["RED"] == ["R1.9", "U1.1"]
    assert [finding.text for finding in netlist.findings] == [
        "1 pad(s) stand in signals but not in their packages: R1.9",
        "the packages of U1 are not in the file; only pads on signals are known",
    ]


def test_the_name_of_a_lone_pad_is_not_that_of_a_signal() -> None:
    netlist = board(element("R1"), signal("unconnected-(R1-Pad1)", "R1.2", "R1.3", "R1.4"))
    assert nets(netlist) == {
        "unconnected-(R1-Pad1)": ["R1.2", "R1.3", "R1.4"],
        "unconnected-(R1-Pad1)_": ["R1.1"],
    }


@pytest.mark.parametrize("names", [("A", "B"), ("B", "A")])
def test_libraries_of_one_name_are_told_apart_by_their_addresses(names: tuple[str, str]) -> None:
    packages = "".join(
        f'<library name="x" urn="{urn}"><packages><package name="P"><pad name="{urn}1" x="0" y="0"/></package></packages></library>'
        for urn in names
    )
    text = (
        f"<eagle><drawing><board><libraries>{packages}</libraries><elements>"
        '<element name="U1" library="x" library_urn="B" package="P" value="" x="0" y="0"/></elements>'
        "<signals/></board></drawing></eagle>"
    )
    assert parse_netlist(text, "b.brd").parts[0].pins == (Pin("B1"),)


# -- where parts sit -----------------------------------------------------------------------------------


def drawn_board(rot: str, plain: str = "") -> Netlist:
    """A part at 10, 20 whose second pad lies 2 mm to the right of the first and 1 mm above it."""
    package = '<pad name="1" x="0" y="0"/><smd name="2" x="2" y="1" dx="1" dy="1" layer="1"/>'
    return parse_netlist(
        f"<eagle><drawing><board><plain>{plain}</plain><libraries><library name='l'><packages><package name='P'>{package}"
        f"</package></packages></library></libraries><elements><element name='U1' library='l' package='P' value='' x='10' "
        f"y='20'{rot}/></elements><signals/></board></drawing></eagle>",
        "b.brd",
    )


@pytest.mark.parametrize(
    ("rot", "second", "is_below"),
    [
        ("", (12, -21), False),
        (" rot='R90'", (9, -22), False),
        (" rot='SR180'", (8, -19), False),
        # Turned, then mirrored left to right.
        (" rot='MR0'", (8, -21), True),
        (" rot='MR90'", (11, -22), True),
    ],
)
def test_a_part_turned_and_one_on_the_solder_side(
    rot: str, second: tuple[float, float], is_below: bool
) -> None:
    spot = drawn_board(rot).parts[0].spot
    assert spot is not None
    assert [(pad.pin, pad.x, pad.y) for pad in spot.pads] == [("1", 10, -20), ("2", *second)]
    assert spot.is_below == is_below


@pytest.mark.parametrize("broken", [" rot='X90'", " rot='R1e999'"])
def test_a_turn_that_cannot_be_read_leaves_the_place_open(broken: str) -> None:
    assert drawn_board(broken).parts[0].spot is None


def test_the_edge_is_what_layer_20_draws_arcs_among_it() -> None:
    plain = (
        '<wire x1="0" y1="0" x2="10" y2="0" width="0" layer="20"/>'
        '<wire x1="10" y1="0" x2="10" y2="4" width="0" layer="20" curve="180"/>'
        '<wire x1="0" y1="9" x2="9" y2="9" width="0" layer="21"/>'
    )
    outline = drawn_board("", plain).outline
    assert outline[0] == ((0, 0), (10, 0))
    xs = [x for ends in outline for x, _ in ends]
    ys = [y for ends in outline for _, y in ends]
    # A half circle from below to above, counter-clockwise, lies to the right.
    assert (min(xs), max(xs), min(ys), max(ys)) == pytest.approx((0, 12, -4, 0))
