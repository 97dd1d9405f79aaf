"""The part library: its loader, and what must hold of every type in its tables.

Sources beside the checks: sizes of memories are arithmetic (words = 2 to the number of addresses); the truth of
single tables is in ``tests/published/test_pin_data.py``.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections import Counter
from importlib.resources import files
from pathlib import Path

import pytest

from tests.hostile import in_time, run
from tracer.base.errors import PartDataError
from tracer.base.names import natural_key
from tracer.parts.kinds import Kind
from tracer.parts.library import Library, load_library, parse_types
from tracer.parts.model import DRIVING, ROLES, PartType

DATA = files("tracer.parts") / "data"
LIBRARY = Library()
TYPES = {t.name: t for t in LIBRARY.all_types()}
each_type = pytest.mark.parametrize("part_type", TYPES.values(), ids=TYPES)

GATE = """\
["74x00"]
what = "quad 2-input NAND"
kind = "gate"
pins = "1A 1B 1Y GND VCC"
sections = [
  { each = "1", inverted = "nY", data = "nA nB" },
]
cite = "M"
"""
FIX = "\nfix: correct the table as `rgbroots help parts` shows; nothing of this file was used"

#: A change to GATE -> what the loader says.
WRONG_TABLES = [
    ('what = "quad 2-input NAND"\n', "", "'what' is missing; it is a text in quotes"),
    ('cite = "M"\n', 'cite = " "\n', "'cite' is missing; it is a text in quotes"),
    ('cite = "M"\n', "cite = 3\n", "'cite' is missing; it is a text in quotes"),
    ('pins = "1A 1B 1Y GND VCC"\n', "", "'pins' is missing; it is a text in quotes"),
    ('kind = "gate"\n', "", "'kind' is missing; it is a text in quotes"),
    ('"gate"', '"gates"', f"unknown kind 'gates'; the kinds are {', '.join(Kind)}"),
    (
        "cite =",
        "colour =",
        "unknown key 'colour'; the keys are also, cite, confirmed, kind, numbers, output, packages, pins, sections, what",
    ),
    (
        'cite = "M"',
        'cite = "M"\nnumbers = "1 2 3"',
        "`pins` has 5 names, `numbers` has 3: as many are wanted",
    ),
    ("1A 1B 1Y", "1A 1A 1Y", "two legs are called 1A: give each a name of its own"),
    ("nA nB", "nA nC", "a section names the leg 1C, which is not among `pins`"),
    ('inverted = "nY"', 'inverted = "2Y"', "a section names the leg 2Y, which is not among `pins`"),
    ('inverted = "nY", ', "", "a section needs `out` or `inverted`"),
    ("data = ", "date = ", "unknown key 'date' in a section; the keys are "),
    ("1Y GND", "1Y 1C GND", "leg 4 (1C) is in no section: put it into one, or call it NC if it does nothing"),
    ("nA nB", "nA[nB] nB", "a condition is written PIN=0 or PIN=1, not '1B'"),
    ("nA nB", "nA[nB=2] nB", "a condition is written PIN=0 or PIN=1, not '1B=2'"),
    ("nA nB", "nA[nS=1] nB", "a section names the leg 1S, which is not among `pins`"),
    (
        'cite = "M"',
        'cite = "M"\noutput = "totem"',
        "unknown output 'totem'; it is one of totem pole, three-state, open collector, open emitter",
    ),
]


@pytest.mark.parametrize(("old", "new", "says"), WRONG_TABLES, ids=[w[2][:40] for w in WRONG_TABLES])
def test_a_wrong_table_says_what_and_where(old: str, new: str, says: str) -> None:
    assert GATE.count(old) == 1
    text = "# two lines above\n\n" + GATE.replace(old, new)
    with pytest.raises(PartDataError) as caught:
        parse_types(text, "mine.toml")
    message = str(caught.value)
    assert f": part type 74x00: {says}" in message
    assert message.endswith(FIX)
    # The line is the changed one; what is missing from a table is missed at its head.
    lines = [i + 1 for i, line in enumerate(text.split("\n")) if line not in GATE.split("\n")]
    missing = "is missing" in says and not new
    assert (caught.value.file, caught.value.line) == ("mine.toml", 3 if missing else lines[-1])


def test_all_mistakes_of_a_file_are_said_at_once_each_with_its_line() -> None:
    second = """\
["74x01"]
what = "quad 2-input NAND"
kind = "gates"
pins = "1A 1B 1Y 2A 2B 2Y GND VCC"
colour = "red"
sections = [
  { out = "1Y", data = "1A 1C" },
  { out = "2Y", data = "2A 2B" },
  { data = "2A" },
]
"""
    with pytest.raises(PartDataError) as caught:
        parse_types(GATE.replace('"gate"', "3") + second, "mine.toml")
    said = [
        line.removeprefix("mine.toml:").replace("part type ", "") for line in str(caught.value).split("\n")
    ]
    assert [line[:30] for line in said] == [
        "3: 74x00: 'kind' is missing; i",
        "13: 74x01: unknown key 'colour",
        "9: 74x01: 'cite' is missing; i",
        "11: 74x01: unknown kind 'gates",
        "fix: correct the table as `rgb",
    ]
    mended = second.replace("gates", "gate").replace('colour = "red"', 'cite = "M"')
    with pytest.raises(PartDataError) as caught:
        parse_types(GATE + mended, "mine.toml")
    assert [(e.line, e.what) for e in (caught.value, *caught.value.others)] == [
        (15, "part type 74x01: a section names the leg 1C, which is not among `pins`"),
        (17, "part type 74x01: a section needs `out` or `inverted`"),
    ]
    unused = mended.replace(' 1C"', '"').replace('  { data = "2A" },\n', "").replace('2A 2B" }', '2A" }')
    with pytest.raises(PartDataError) as caught:
        parse_types(GATE + unused, "mine.toml")
    assert (caught.value.line, caught.value.others) == (12, ())
    assert "legs 2 (1B) and 5 (2B) are in no section: put them into one" in caught.value.what


def test_where_very_many_mistakes_stand_is_found_in_time() -> None:
    sections = "".join('{ date = "X" },\n' for _ in range(30_000))
    with in_time(), pytest.raises(PartDataError) as caught:
        parse_types(GATE.replace("sections = [\n", f"sections = [\n{sections}"), "mine.toml")
    assert caught.value.others[-1].line == 6 + 29_999


def test_more_mistakes_than_a_screen_holds_are_counted() -> None:
    with pytest.raises(PartDataError) as caught:
        parse_types(
            "".join(f'["X{i}"]\nwhat = 1\ncite = "M"\nkind = "gate"\npins = "VCC"\n' for i in range(100)),
            "mine.toml",
        )
    lines = str(caught.value).split("\n")
    assert (len(lines), lines[-2]) == (22, "and 80 more")


def test_the_second_table_is_named_by_its_own_line() -> None:
    second = GATE.replace("74x00", "74x01").replace('"gate"', '"gates"')
    with pytest.raises(PartDataError, match=r"^mine\.toml:11: part type 74x01: unknown kind 'gates'"):
        parse_types(GATE + second, "mine.toml")


def test_a_value_in_the_place_of_a_table_is_refused() -> None:
    with pytest.raises(
        PartDataError, match=r"^mine\.toml: part type answer: it must be a table in square brackets"
    ):
        parse_types("answer = 42\n", "mine.toml")


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [('["74x00"]\nwhat = \n', 2, 8), ('["74x00"]\nwhat = "a"\nwhat = "b"\n', 3, 11), ('["74x00"\n', 1, 9)],
)
def test_what_is_no_toml_says_where(text: str, line: int, column: int) -> None:
    with pytest.raises(PartDataError) as caught:
        parse_types(text, "mine.toml")
    message = str(caught.value)
    assert message.startswith(f"mine.toml:{line}:{column}: this line is not in the form of TOML: ")
    assert message.endswith("fix: correct it; `rgbroots help parts` shows a whole file")
    assert "at line" not in message


def test_an_unfinished_text_is_refused() -> None:
    with pytest.raises(PartDataError, match=r"^mine\.toml.*: this line is not in the form of TOML: "):
        parse_types('["74x00"]\nwhat = "quad', "mine.toml")


def test_sections_become_arcs() -> None:
    part_type = parse_types(GATE, "mine.toml")["74x00"]
    assert [(a.kind, a.source, a.target, a.inverts) for a in part_type.arcs] == [
        ("data", "1", "3", True),
        ("data", "2", "3", True),
    ]
    assert [(p.number, p.name, p.direction, p.role) for p in part_type.pins] == [
        ("1", "1A", "in", "data_in"),
        ("2", "1B", "in", "data_in"),
        ("3", "1Y", "out", "data_out"),
        ("4", "GND", "power", "ground"),
        ("5", "VCC", "power", "supply"),
    ]


def test_numbers_may_differ_from_the_leg_order() -> None:
    text = GATE.replace('cite = "M"', 'cite = "M"\nnumbers = "2 3 4 A1 B1"')
    part_type = parse_types(text, "mine.toml")["74x00"]
    assert {p.name: p.number for p in part_type.pins} == {
        "1A": "2",
        "1B": "3",
        "1Y": "4",
        "GND": "A1",
        "VCC": "B1",
    }
    assert [(a.source, a.target) for a in part_type.arcs] == [("2", "4"), ("3", "4")]


PACKAGED = GATE.replace('cite = "M"', 'packages = { PLCC8 = "2 3 - 5 8" }\ncite = "M"')


def test_another_package_has_the_same_legs_under_other_numbers() -> None:
    usual = parse_types(PACKAGED, "mine.toml")["74x00"]
    (other,) = usual.other_packages
    assert (other.name, other.package) == ("74x00", "PLCC8")
    assert {p.number: p.name for p in other.pins if p.name != "NC"} == {
        "2": "1A",
        "3": "1B",
        "5": "GND",
        "8": "VCC",
    }
    assert len(other.pins) == 8
    assert other.arcs == ()  # its output is the leg that this package lacks
    whole = parse_types(PACKAGED.replace("3 -", "3 4"), "mine.toml")["74x00"].other_packages[0]
    assert [(a.source, a.target) for a in whole.arcs] == [("2", "4"), ("3", "4")]


@pytest.mark.parametrize(
    ("packages", "says"),
    [
        ("3", "'packages' is a table of texts"),
        ('{ PLCC8 = "1 2" }', "`pins` has 5 names, PLCC8 has 2 numbers: as many are wanted"),
        ('{ PLCC8 = "1 2 2 4 5" }', "two legs have the number 2 in PLCC8: give each its own"),
        ('{ PLCC8 = "1 2 3 4 9" }', "PLCC8 has no leg 9"),
        ('{ PLCC8 = "1 2 3 4 A" }', "PLCC8 has no leg A"),
        (
            '{ PLCC = "1 2 3 4 5" }',
            "the package PLCC must end with the number of its legs, up to 4,096, such as PLCC52",
        ),
        ('{ PLCC9999 = "1 2 3 4 5" }', "the package PLCC9999 must end with the number of its legs"),
    ],
)
def test_a_wrong_package_says_what_is_wrong(packages: str, says: str) -> None:
    with pytest.raises(PartDataError) as caught:
        parse_types(GATE.replace('cite = "M"', f'packages = {packages}\ncite = "M"'), "mine.toml")
    assert says in str(caught.value)
    assert caught.value.line == 8


@each_type
def test_packages_have_the_ways_of_the_usual_one(part_type: PartType) -> None:
    for other in part_type.other_packages:
        names = {p.number: p.name for p in other.pins}
        usual = {p.number: p.name for p in part_type.pins}
        assert [(names[a.source], names[a.target], a.kind, a.role) for a in other.arcs] == [
            (usual[a.source], usual[a.target], a.kind, a.role) for a in part_type.arcs
        ]
        assert [p.number for p in other.pins] == [str(i + 1) for i in range(len(other.pins))]


def test_a_table_of_the_user_wins_and_leaves_the_rest() -> None:
    mine = load_library([("mine.toml", GATE.replace("quad 2-input NAND", "my own"))])
    found, untouched = mine.find("74x00"), mine.find("74x02")
    assert found is not None
    assert found.what == "my own"
    assert untouched == LIBRARY.find("74x02")
    assert len(mine.names()) == len(LIBRARY.names())


def test_another_name_finds_the_same_type() -> None:
    for name, other in (("74x040", None), ("74x4040", "4040"), ("8T97", "74x367"), ("40174", "74x174")):
        found = LIBRARY.find(name)
        assert (found.name if found else None) == other
    text = GATE.replace('kind = "gate"', 'kind = "gate"\nalso = "X1 X2"')
    assert sorted(parse_types(text, "mine.toml")) == ["74x00", "X1", "X2"]


def test_no_name_is_given_twice() -> None:
    names: Counter[str] = Counter()
    for file in DATA.iterdir():
        if file.name.endswith(".toml"):
            for name, table in tomllib.loads(file.read_text(encoding="utf-8")).items():
                if isinstance(table, dict) and "pins" in table:
                    names.update([name, *str(table.get("also", "")).split()])
    assert [name for name, count in names.items() if count > 1] == []
    assert set(names) == set(LIBRARY.names())


def test_names_are_in_natural_order_and_many() -> None:
    assert list(LIBRARY.names()) == sorted(LIBRARY.names(), key=natural_key)
    assert len(TYPES) >= 480


@each_type
def test_pins(part_type: PartType) -> None:
    numbers = [p.number for p in part_type.pins]
    assert numbers == [str(i + 1) for i in range(len(numbers))]
    assert len(numbers) in {5, 6, 8, 14, 16, 18, 20, 22, 24, 28, 32, 36, 40, 42, 44, 48, 52, 64}
    names = Counter(p.name for p in part_type.pins if p.direction not in ("power", "nc"))
    assert [name for name, count in names.items() if count > 1] == []
    assert {p.role for p in part_type.pins} <= ROLES
    supplies = {p.role for p in part_type.pins if p.direction == "power"}
    assert supplies == {"supply", "ground"}


@each_type
def test_arcs(part_type: PartType) -> None:
    known = {p.number for p in part_type.pins if p.direction not in ("power", "nc")}
    used = {n for arc in part_type.arcs for n in (arc.source, arc.target, *(pin for pin, _ in arc.when))}
    assert used <= known
    assert all(part_type.drives(arc.target) for arc in part_type.arcs)
    inputs = {p.number for p in part_type.pins if p.direction == "in"}
    sources = {arc.source for arc in part_type.arcs} | {
        p.number for p in part_type.pins if p.role == "data_in"
    }
    programming_pins = {p.number for p in part_type.pins if p.name in ("PGM", "/PGM")}
    assert inputs <= sources | programming_pins
    assert len({(a.kind, a.source, a.target, a.role, a.when) for a in part_type.arcs}) == len(part_type.arcs)


@each_type
def test_kind_and_sources(part_type: PartType) -> None:
    sources = tomllib.loads((DATA / "sources.toml").read_text(encoding="utf-8"))
    assert part_type.what
    assert len(part_type.cite) > 10
    assert set(part_type.confirmed) <= set(sources["confirmed"].values())
    assert len(set(part_type.confirmed)) == len(part_type.confirmed)


@each_type
def test_every_output_has_what_its_kind_promises(part_type: PartType) -> None:
    data = {a.target for a in part_type.arcs if a.kind == "data"}
    address = {a.target for a in part_type.arcs if a.kind == "address"}
    outputs = {p.number: p for p in part_type.pins if p.direction in DRIVING}
    if part_type.kind.passes:
        flags = {n for n, p in outputs.items() if p.name in ("/INT", "/FF", "/EF", "/XO")}
        assert set(outputs) - flags == data
    if part_type.kind.stores:
        flags = {n for n, p in outputs.items() if p.name.lstrip("/LR") in ("BUSY", "INT", "Y")}
        flags |= {n for n, p in outputs.items() if p.name in ("/FF", "/EF", "/XO", "DIR", "DOR", "IR", "OR")}
        written = {p.number for p in part_type.pins if p.role == "data_in"}
        # A first-in first-out memory has no address: what it shows was written.
        assert written if _is_queue(part_type) else set(outputs) - flags == address
    assert outputs


def _is_queue(part_type: PartType) -> bool:
    return "first-in first-out" in part_type.what


def _words_and_width(what: str) -> tuple[int, int] | None:
    found = re.match(r"(\d+)([KM]?)x(\d+)", what)
    if not found:
        return None
    return int(found[1]) * {"": 1, "K": 1 << 10, "M": 1 << 20}[found[2]], int(found[3])


MEMORIES = {n: t for n, t in TYPES.items() if t.kind.stores and not _is_queue(t)}


@pytest.mark.parametrize("part_type", MEMORIES.values(), ids=MEMORIES)
def test_a_memory_has_the_addresses_that_its_size_needs(part_type: PartType) -> None:
    size = _words_and_width(part_type.what)
    assert size, f"{part_type.what!r} does not begin with a size such as 2Kx8"
    words, width = size
    outputs = [p for p in part_type.pins if part_type.arcs_into(p.number, "address")]
    n_ports = 2 if "dual-port" in part_type.what else 1
    bytewide = " or " in part_type.what
    assert len(outputs) == n_ports * width * (2 if bytewide else 1)
    n_address = len(part_type.arcs_into(outputs[0].number, "address"))
    if part_type.name == "4416":
        assert n_address == 8  # 8 bits of row and 6 of column: the two are not of one length
    elif "dynamic" in part_type.what or "video" in part_type.what:
        assert words == 1 << (2 * n_address)  # row and column in turn
    else:
        assert words == 1 << n_address


def test_a_byte_and_word_wide_rom_uses_its_top_data_pin_as_address() -> None:
    rom = TYPES["27400"]
    top = next(p for p in rom.pins if p.name == "D15/A-1")
    assert top.direction == "bidirectional"
    assert top.number in {a.source for a in rom.arcs_into("13", "address")}
    assert len(rom.arcs_into(top.number, "address")) == 18


def test_a_multiplexer_opens_one_input_at_a_time() -> None:
    n_outputs = 0
    for part_type in TYPES.values():
        if part_type.kind != "multiplexer" or part_type.name == "4019":  # the 4019 can open both
            continue
        for pin in part_type.pins:
            arcs = part_type.arcs_into(pin.number, "data")
            if arcs:
                n_outputs += 1
                selects = {p for arc in arcs for p, _ in arc.when}
                assert len({arc.when for arc in arcs}) == len(arcs) == 1 << len(selects)
                assert math.log2(len(arcs)).is_integer()
    assert n_outputs > 30


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("74x00", "74x03"),
        ("74x04", "74x05"),
        ("74x08", "74x09"),
        ("74x20", "74x22"),
        ("74x10", "74x12"),
        ("74x11", "74x15"),
        ("74x86", "74x136"),
        ("74x155", "74x156"),
        ("74x245", "74x641"),
        ("74x646", "74x647"),
        ("74x670", "74x170"),
        ("74x595", "74x596"),
        ("82S123", "82S23"),
        ("82S129", "82S126"),
        ("82S131", "82S130"),
        ("82S137", "82S136"),
        ("82S185", "82S184"),
        ("82S141", "82S140"),
        ("82S147", "82S146"),
        ("82S181", "82S180"),
        ("82S191", "82S190"),
        ("93425", "93415"),
    ],
)
def test_an_open_collector_twin_has_the_same_pins(one: str, other: str) -> None:
    a, b = TYPES[one], TYPES[other]
    assert [p.name for p in a.pins] == [p.name for p in b.pins]
    assert [(x.kind, x.source, x.target, x.inverts) for x in a.arcs] == [
        (x.kind, x.source, x.target, x.inverts) for x in b.arcs
    ]
    plain, open_ones = ({p.direction for p in t.pins} & DRIVING for t in (a, b))
    assert "open_collector" not in plain
    assert open_ones <= {"open_collector", "bidirectional", "out"}
    assert open_ones & {"open_collector", "bidirectional"}


def test_an_analogue_switch_passes_both_ways() -> None:
    n_switches = 0
    for part_type in TYPES.values():
        if part_type.kind == "analogue switch":
            ways = {(a.source, a.target, a.when) for a in part_type.arcs if a.kind == "data"}
            assert ways == {(target, source, when) for source, target, when in ways}
            assert all(when for _, _, when in ways)
            n_switches += 1
    assert n_switches >= 10


def test_the_two_ways_of_a_transceiver_are_never_open_together() -> None:
    part_type = TYPES["74x245"]
    forth = part_type.arcs_into("18", "data")
    back = part_type.arcs_into("2", "data")
    assert [(a.source, a.when) for a in forth] == [("2", (("1", 1),))]
    assert [(a.source, a.when) for a in back] == [("18", (("1", 0),))]


_HEAD = '["x"]\nwhat = "a"\nkind = "buffer"\ncite = "M"\n'


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("a = " + "[" * 100_000, "nested too deep"),
        ("a = " + "9" * 6000, "too many digits"),
        (_HEAD + 'pins = "A Y"\nsections = [{ out = "Y0-Y99999999", data = "A" }]', "more than 4096"),
        (_HEAD + 'pins = "A Y"\nsections = [{ each = "1-99999999", out = "nY", data = "A" }]', "more than 4096"),
        (_HEAD + 'pins = "A0-A9"\nnumbers = 3', "'numbers' is a text in quotes"),
        (_HEAD + 'pins = "A"\nsections = 3', "'sections' is a list"),
        (_HEAD + 'pins = "A"\nconfirmed = [1]', "'confirmed' is a text in quotes"),
        (
            _HEAD + f'pins = "{" ".join(f"A{i} Y{i}" for i in range(1500))}"\nsections = [{{ out = "Y0-Y1499", data = "A0-A1499" }}]',
            "make more than 200,000",
        ),
        (_HEAD + f'pins = "{"P " * 5000}"', None),
    ],
)  # fmt: skip
def test_part_files(
    text: str, sentence: str | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "own.toml"
    path.write_text(text)
    code, _, error = run(capsys, "part", "x", "--parts", path)
    assert code == 2
    assert sentence is None or sentence in error
