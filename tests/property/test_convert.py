"""What is written in another form reads back as the same netlist, as far as that form can hold it."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.property.strategies import names
from tracer.export.netlists.netlists import NETLIST_FORMS, write_netlist
from tracer.importers import parse_netlist
from tracer.netlist.board import Netlist, Part, Pin, PinRef, make_netlist
from tracer.netlist.net_names import says_alone

FORMS = [form.name for form in NETLIST_FORMS]
#: Forms of other programs, whose words have no blanks and whose parts no pins but those on nets.
PLAIN = {"orcad-pcb2", "pads"}

references = st.from_regex(
    r"[A-Z]{1,3}[1-9][0-9]?[a-z]?|U\?|A:U[1-9]|R_[0-9]|\"?x y[0-9]", fullmatch=True
).filter(lambda r: '"' not in r)
legs = st.from_regex(r"[1-9][0-9]?|[A-Fa-f]|A[1-9]|[A-Z]{2}[0-9]|1\.5|P\$1", fullmatch=True)
net_names = st.one_of(
    names,
    st.sampled_from(
        [
            "/a b/RED",
            "RED",
            "red",
            "Net-(U1-D0)",
            "~{BLANK}",
            "+3,3В",
            "x" * 60,
            "A:B",
            "#1",
            "a=b",
            "D[0..7]",
        ]
    ),
)
words = st.text(string.ascii_letters + string.digits + " ~{}/+-_#,;()'\"\\Ωµ", max_size=10)
# KiCad writes an empty value as "~", Lepton as "unknown" or "#f".
words = words.map(str.strip).filter(lambda w: w.lower() not in ("~", "unknown", "#f"))
leg_names = st.text(string.ascii_letters + string.digits + "~{}/+-_#'\\", max_size=6).filter(
    lambda w: w != "~"
)
kinds = st.sampled_from(["", "input", "output", "tri_state", "bidirectional", "passive", "power_in"])


@st.composite
def full_boards(draw: st.DrawFn) -> Netlist:
    """Boards with all that a part can carry, every pin on one net."""
    pins = draw(st.lists(st.builds(PinRef, references, legs), min_size=1, max_size=14, unique=True))
    labels = draw(st.lists(net_names, min_size=1, max_size=6, unique=True))
    nets: dict[str, list[PinRef]] = {}
    for pin in pins:
        nets.setdefault(draw(st.sampled_from(labels)), []).append(pin)
    parts = []
    for reference in dict.fromkeys(p.part for p in pins):
        drawn = [Pin(p.pin, draw(leg_names), draw(kinds)) for p in pins if p.part == reference]
        marking, place = draw(words), draw(st.sampled_from(["", "7E", "a#1"]))
        symbol = draw(st.sampled_from(["", "74LS273", "R_Pack04"]))
        parts.append(
            Part(reference, marking, symbol, place=place, pins=tuple(drawn), fitted=draw(st.booleans()))
        )
    return make_netlist("a board", parts, [(name, members, None) for name, members in nets.items()])


def plain(text: str, form: str) -> str:
    """A word as a form of `PLAIN` has it; braces round the whole of one stand for a comment."""
    text = text.replace(" ", "_")
    if form == "orcad-pcb2" and text.startswith("{") and text.endswith("}"):
        return f"({text[1:-1]})"
    return text


def plain_facts(netlist: Netlist, form: str) -> object:
    """Parts, and nets without their names: those with blanks, or that stand for no net, are written otherwise."""

    def pin(ref: PinRef) -> PinRef:
        return PinRef(plain(ref.part, form), ref.pin.replace(".", "_") if form == "pads" else ref.pin)

    parts = {plain(part.reference, form): plain(part.marking, form) for part in netlist.parts}
    return parts, {frozenset(map(pin, net.pins)) for net in netlist.nets}


def facts(netlist: Netlist, form: str) -> object:
    """What the form promises to keep."""
    if form in PLAIN:
        return plain_facts(netlist, form)
    parts = []
    for part in netlist.parts:
        pins = sorted((p.number, p.name, p.kind) for p in part.pins)
        symbol = "" if form == "table" or part.symbol == part.marking else part.symbol
        fitted = True if form == "table" else part.fitted
        parts.append((part.reference, part.marking, symbol, part.place, fitted, pins))
    return parts, [(net.name, net.pins) for net in netlist.nets]


@pytest.mark.parametrize("form", FORMS)
@given(netlist=full_boards())
def test_what_is_written_reads_back_the_same(form: str, netlist: Netlist) -> None:
    text, _ = write_netlist(form, netlist)
    back = parse_netlist(text, "a board.x", name="a board", format_name=form)
    assert facts(back, form) == facts(netlist, form)
    assert len(back.nets) == len(netlist.nets)
    if form in PLAIN:
        names = {net.name for net in netlist.nets if " " not in net.name and not says_alone(net.name)}
        assert {name for name in names if not name.startswith("?")} <= {net.name for net in back.nets}


@pytest.mark.parametrize("form", FORMS)
@given(netlist=full_boards())
def test_what_is_written_is_known_by_its_content(form: str, netlist: Netlist) -> None:
    from tracer.importers import detect

    assert detect(write_netlist(form, netlist)[0], "x").name == form


@pytest.mark.parametrize("form", FORMS)
@given(netlist=full_boards())
def test_what_a_form_drops_is_said(form: str, netlist: Netlist) -> None:
    _, lost = write_netlist(form, netlist)
    drops = form == "table" or form in PLAIN
    drops_symbols = drops and any(p.symbol for p in netlist.parts)
    drops_marks = drops and any(not p.fitted for p in netlist.parts)
    assert any("symbols" in sentence for sentence in lost) == drops_symbols
    assert any("not-fitted marks" in sentence for sentence in lost) == drops_marks
    with_blanks = form in PLAIN and any(" " in p.reference for p in netlist.parts)
    assert any("references as they are" in sentence for sentence in lost) == with_blanks
