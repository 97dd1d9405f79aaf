"""KiCad's XML netlist, and the reader of XML below it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracer.base.errors import NetlistError
from tracer.importers import parse_netlist, read_netlist
from tracer.importers.xml_tree import parse_xml
from tracer.netlist.board import Netlist, Origin, Pin, PinRef

TEXT = """<?xml version="1.0" encoding="UTF-8"?>
<export version="E">
  <design><source>a.kicad_sch</source></design>
  <components>
    <comp ref="U9">
      <value>SN74LS273N</value>
      <footprint>DIP-20</footprint>
      <fields><field name="Place">7E</field></fields>
      <libsource lib="74xx" part="74LS273" description="x"/>
      <property name="dnp"/>
    </comp>
    <comp ref="R1"><value>~</value></comp>
  </components>
  <libparts>
    <libpart lib="74xx" part="74LS273">
      <pins><pin num="1" name="~{Mr}" type="input"/><pin num="2" name="Q0" type="output"/></pins>
    </libpart>
  </libparts>
  <nets>
    <net code="1" name="/a &lt;b&gt;/RED"><node ref="U9" pin="2" pinfunction="Q0_2" pintype="output"/>
      <node ref="R1" pin="1" pintype="passive"/></net>
    <net code="2" name="unconnected-(U9-Mr-Pad1)"><node ref="U9" pin="1" pintype="input+no_connect"/></net>
  </nets>
</export>
"""


def read(text: str = TEXT) -> Netlist:
    return parse_netlist(text, "b.xml")


def test_parts() -> None:
    resistor, latch = read().parts
    assert (latch.reference, latch.marking, latch.symbol, latch.library) == (
        "U9",
        "SN74LS273N",
        "74LS273",
        "74xx",
    )
    assert (latch.footprint, latch.place, latch.fitted) == ("DIP-20", "7E", False)
    assert latch.pins == (Pin("1", "~{Mr}", "input"), Pin("2", "Q0", "output"))
    assert latch.origin == Origin("b.xml", 5, 5)
    assert (resistor.marking, resistor.pins) == ("", (Pin("1", "", "passive"),))


def test_nets() -> None:
    netlist = read()
    assert {net.name: net.pins for net in netlist.nets} == {
        "/a <b>/RED": (PinRef("R1", "1"), PinRef("U9", "2")),
        "unconnected-(U9-Mr-Pad1)": (PinRef("U9", "1"),),
    }
    assert netlist.findings == ()


def test_two_nets_of_one_name_are_kept_apart() -> None:
    """``A{slash}B`` and the B of sheet A are both ``A/B`` here, with codes of their own."""
    nets = '<net code="%s" name="/A/B"><node ref="U1" pin="%s"/></net>'
    text = f'<export><nets>{nets % (1, 1)}{nets % (2, 2)}{nets % (1, 3)}<net code="3" name="/A/B (2)"/></nets></export>'
    netlist = read(text)
    assert {net.name: [pin.pin for pin in net.pins] for net in netlist.nets} == {
        "/A/B": ["1", "3"],
        "/A/B (2)_": ["2"],
        "/A/B (2)": [],
    }
    assert [(f.code, f.severity) for f in netlist.findings] == [("name-twins", "warning")]


def test_elements_that_are_not_known_are_skipped_and_said() -> None:
    netlist = read(TEXT.replace("<nets>", "<marvels><x/></marvels><nets>"))
    assert [f.text for f in netlist.findings] == [
        "clauses that this reader does not know were skipped: 1 x marvels"
    ]
    assert len(netlist.nets) == 2


def test_another_root_by_name_of_the_format() -> None:
    with pytest.raises(NetlistError) as caught:
        parse_netlist("<netlist/>", "b.xml", format_name="kicad-xml")
    assert caught.value.what == "a KiCad netlist starts with <export>, this one with <netlist>"


@pytest.mark.parametrize("encoding", ["windows-1251", "utf-16", "utf-8"])
def test_the_encoding_that_the_file_names(tmp_path: Path, encoding: str) -> None:
    """A Cyrillic В stays one, whatever the bytes."""

    path = tmp_path / "b.xml"
    path.write_bytes(TEXT.replace("UTF-8", encoding).replace("RED", "+3,3В").encode(encoding))
    assert read_netlist(path).nets[0].name == "/a <b>/+3,3В"


def test_offsets_count_letters_and_text_comes_whole() -> None:
    root = parse_xml("<a>\n<!-- Ωµ --><b c='Ω'>x&amp;y<d/>z</b></a>", "f")
    b = root.children[0]
    assert (b.at, b.text, b.get("c"), b.get("e", "none")) == (15, "x&yz", "Ω", "none")
    assert [element.at for element in root.all("b", "d")] == [31]
    assert root.first("b", "x") is None


def test_a_doctype_without_declarations_is_passed_over() -> None:
    """The file it names is not looked for."""
    assert parse_xml('<!DOCTYPE a SYSTEM "no such file">\n<a/>', "f").at == 35
    assert parse_xml('<!-- <!DOCTYPE x [ --><!DOCTYPE a PUBLIC "b" "c"><a/>', "f").tag == "a"


def test_deep_trees_are_read_as_deep_as_is_allowed() -> None:
    """Well below the stack of a program that calls this from deep within."""
    root = parse_xml("<a>" * 400 + "</a>" * 400, "f")
    assert root.tag == "a"
    deep = "<export><nets/>" + "<a>" * 398 + "</a>" * 398 + "</export>"
    assert read(deep).nets == ()
    with pytest.raises(NetlistError, match="nested more than 400 deep"):
        parse_xml("<a>" * 401 + "</a>" * 401, "f")
