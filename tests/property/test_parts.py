"""Whatever stands on a part and at its legs, it is identified or left, and no way leads to a leg that it has not."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tracer.netlist.board import Part, Pin
from tracer.parts.fit import disagreement, fitting_package
from tracer.parts.identify import identify
from tracer.parts.library import Library
from tracer.parts.marking import read_marking

LIBRARY = Library()
NAMES = LIBRARY.names()

references = st.from_regex(r"\A[A-Z]{1,4}[0-9]{0,3}\Z") | st.text(min_size=1, max_size=6)
markings = (
    st.sampled_from(NAMES)
    | st.from_regex(r"\A(jumper|switch|trimmer|connector|amplifier|ram|filter) ?[0-9 ,-]{0,8}\Z")
    | st.builds("{} ({})".format, st.sampled_from(NAMES), st.sampled_from(NAMES))
    | st.text(max_size=30)
    | st.just("")
)
numbers = st.integers(1, 60).map(str) | st.sampled_from(["A", "K", "B", "C", "E", "IN", "OUT", "G", ""])
names = st.sampled_from(
    [
        "",
        "~",
        "+",
        "-",
        "A0",
        "D0",
        "Q0",
        "IN1",
        "OUT1",
        "VCC",
        "GND",
        "A0L",
        "A0R",
        "~{CE}L",
        "OUT",
        "W",
        "R",
        "FF",
    ]
)
kinds = st.sampled_from(["", "input", "output", "passive", "power_in", "no_connect", "open_collector"])
drawings = st.dictionaries(numbers, st.tuples(names, kinds), max_size=24)


@given(references, markings, markings, drawings, st.sampled_from(["", "PLCC-52", "SOT-23-5", "RESCAV80-8"]))
def test_ways_lead_from_leg_to_leg(
    reference: str, marking: str, symbol: str, drawing: dict[str, tuple[str, str]], footprint: str
) -> None:
    pins = tuple(Pin(number, name, kind) for number, (name, kind) in drawing.items())
    part = Part(reference, marking, symbol=symbol, footprint=footprint, pins=pins)
    found = identify(part, tuple(drawing), LIBRARY, frozenset(list(drawing)[:2]))
    assert found.part == part
    known = {pin.number for pin in found.type.pins}
    if found.kind != "resistor pack":  # a pack has legs of its case that no net names
        assert {n for arc in found.type.arcs for n in (arc.source, arc.target)} <= known


@given(st.sampled_from(NAMES), st.lists(st.integers(1, 70).map(str), unique=True), st.data())
def test_a_package_is_one_of_the_type(name: str, legs: list[str], draws: st.DataObject) -> None:
    known = LIBRARY.find(name)
    assert known
    supplies = frozenset(draws.draw(st.lists(st.sampled_from(legs))) if legs else ())
    found = fitting_package(Part("U1", name), tuple(legs), known, supplies)
    assert found in (known, *known.other_packages)
    beyond = [n for n in legs if n not in found.by_number]
    assert (disagreement(Part("U1", name), tuple(legs), found) is not None) == bool(beyond)


@given(st.sampled_from(NAMES), st.sampled_from(["({})", "[{}]", "{} ({})", "{} [{}]", "{} {{{}}}"]))
def test_a_name_in_brackets_is_the_bare_name(name: str, form: str) -> None:
    assert read_marking(form.format(name, name)).type == read_marking(name).type
