"""Dumps and palettes against published examples, other libraries and a counting formula.

Each check names its source. PyPI ``pillow`` and ``intelhex`` are readers and writers that this program does not
use itself.
"""

from __future__ import annotations

import io
import math
import random
from statistics import mean

import pytest
from PIL import GimpPaletteFile, Image

from tests.boards import NETLISTS
from tests.drawing.dunlin import BITS
from tests.palettes import PROM, levels_of, maker_of, traced
from tracer.base.errors import DumpError
from tracer.importers import read_netlist
from tracer.palette.dumps import Dump, parse_dump
from tracer.palette.gpl import emit as emit_gpl
from tracer.palette.make import PaletteMaker
from tracer.palette.png import BLACK, EDGE, PAPER
from tracer.palette.png import emit as emit_png
from tracer.palette.values import Palette
from tracer.parts.memory_shape import MemoryShape
from tracer.tracing.pipeline import Traced, trace_fully


def memory(n_address: int) -> MemoryShape:
    address, data = ([str(i) for i in range(n)] for n in (n_address, 8))
    return MemoryShape("U4", "test", tuple(address), tuple(data), tuple(f"D{i}" for i in range(8)))


def random_palette(board: Traced, seed: int) -> Palette:
    """A board's palette with random contents."""
    chance = random.Random(seed)
    parts = {"dunlin": ("U9", "U10", 2048), "plover": ("U26", "U27", 32768)}[board.bit_map.name]
    words = {part: [chance.randrange(256) for _ in range(parts[2])] for part in parts[:2]}
    return maker_of(board, words).palette()


@pytest.fixture(scope="module")
def dunlin() -> Traced:
    return trace_fully(read_netlist(NETLISTS / "dunlin" / "dunlin.net"))


@pytest.fixture(scope="module")
def plover() -> Traced:
    return trace_fully(read_netlist(NETLISTS / "plover" / "plover.net"))


# -- file forms -------------------------------------------------------------------------------------


def test_intel_hex_as_the_encyclopedia_shows_it() -> None:
    """The example file of the encyclopedia article "Intel HEX" (from memory; its checksums confirm it): 64 bytes at 0100."""
    text = b""":10010000214601360121470136007EFE09D2190140
:100110002146017E17C20001FF5F16002148011928
:10012000194E79234623965778239EDA3F01B2CAA7
:100130003F0156702B5E712B722B732146013421C7
:00000001FF
"""
    dump = parse_dump(text, memory(6), "example.hex")
    assert dump.words[:4] == (0x21, 0x46, 0x01, 0x36)
    assert dump.words[-2:] == (0x34, 0x21)
    assert [f.code for f in dump.findings] == ["dump-base"]


def test_s_records_as_motorola_shows_them() -> None:
    """The example of appendix C of Motorola's M68000 Family Programmer's Reference Manual (from memory; its checksums
    confirm it): 52 bytes at 0000, in four S1 records."""
    text = b"""S00600004844521B
S1130000285F245F2212226A000424290008237C2A
S11300100002000800082629001853812341001813
S113002041E900084E42234300182342000824A952
S107003000144ED492
S9030000FC
"""
    with pytest.raises(DumpError, match=r"it holds 52 bytes \(0000-0033\), U4 \(test, 64 x 8\) takes 64"):
        parse_dump(text, memory(6), "example.s19")
    shorter = b"\n".join(text.splitlines()[:3] + text.splitlines()[-1:])
    dump = parse_dump(shorter, memory(5), "example.s19")
    assert dump.words[:4] == (0x28, 0x5F, 0x24, 0x5F)
    assert not dump.findings


def test_what_another_library_writes_is_read_back() -> None:
    """PyPI ``intelhex`` 2.3.0 writes; 64 KiB and more with extended addresses."""
    from intelhex import IntelHex

    chance = random.Random(5)
    data = bytes(chance.randrange(256) for _ in range(1 << 17))
    image = IntelHex()
    image.frombytes(data)
    out = io.StringIO()
    image.write_hex_file(out)
    assert parse_dump(out.getvalue().encode("ascii"), memory(17), "u4.hex").words == tuple(data)


# -- the picture and the palette file ---------------------------------------------------------------


@pytest.mark.parametrize("board", ["dunlin", "plover"])
def test_the_png_has_the_colours_of_the_entries_and_no_others(
    board: str, request: pytest.FixtureRequest
) -> None:
    """PyPI ``pillow`` reads the sheet and counts its colours."""
    palette = random_palette(request.getfixturevalue(board), 11)
    picture = Image.open(io.BytesIO(emit_png(palette)))
    picture.load()
    assert (picture.format, picture.mode) == ("PNG", "RGB")
    counted = picture.getcolors(1 << 24)
    assert counted is not None
    assert {rgb for _, rgb in counted} == {e.rgb for e in palette.entries} | {PAPER, BLACK, EDGE}


def test_gimp_palettes_are_read_by_another_reader(dunlin: Traced) -> None:
    """PyPI ``pillow``, module ``GimpPaletteFile``."""
    palette = random_palette(dunlin, 12)
    data, mode = GimpPaletteFile.GimpPaletteFile(io.BytesIO(emit_gpl(palette).encode())).getpalette()
    assert mode == "RGB"
    assert data == bytes(x for e in palette.entries for x in e.rgb)


# -- the board's design -----------------------------------------------------------------------------


def test_codes_follow_the_design_of_a_demo_board(dunlin: Traced) -> None:
    """The design in `tests/drawing/dunlin.py` says which data leg feeds which resistor; no tracer is asked."""
    chance = random.Random(13)
    words = {part: [chance.randrange(256) for _ in range(2048)] for part in ("U9", "U10")}
    ram = {"U13": "U9", "U14": "U10"}
    for entry in maker_of(dunlin, words).palette().entries:
        for (_, rows), code in zip(BITS.items(), entry.codes, strict=True):
            true = [words[ram[latch]][entry.entry] >> int(net[2:]) & 1 for _, _, latch, _, net in rows]
            assert code == int("".join(map(str, true)), 2)


# -- how many different colours random contents have ------------------------------------------------


def expected_distinct(k: int, n: int) -> float:
    """Different values among k random ones of n bits: m (1 - (1 - 1/m)^k), the classical occupancy problem
    (Feller, An Introduction to Probability Theory and Its Applications, volume 1; from memory)."""
    m = float(2**n)
    return m * (1 - (1 - 1 / m) ** k)


def spread(k: int, n: int) -> float:
    """Standard deviation of that number, from the same model."""
    m = float(2**n)
    variance = m * (m - 1) * (1 - 2 / m) ** k + m * (1 - 1 / m) ** k - m * m * (1 - 1 / m) ** (2 * k)
    return math.sqrt(variance)


@pytest.mark.parametrize(
    ("k", "n", "expected"), [(16, 8, 15.540), (32, 9, 31.050), (256, 12, 248.193), (2048, 15, 1985.342)]
)
def test_the_formula_gives_the_figures_of_the_list(k: int, n: int, expected: float) -> None:
    assert expected_distinct(k, n) == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize(("board", "k", "n", "runs"), [("dunlin", 256, 12, 60), ("plover", 4096, 15, 8)])
def test_palettes_of_random_dumps_have_as_many_colours_as_chance_gives(
    board: str, k: int, n: int, runs: int, request: pytest.FixtureRequest
) -> None:
    """The mean of the runs within four standard errors: by chance outside once in 16,000 seeds; these seeds are fixed."""
    counts = [random_palette(request.getfixturevalue(board), 100 + i).n_distinct for i in range(runs)]
    assert mean(counts) == pytest.approx(expected_distinct(k, n), abs=4 * spread(k, n) / math.sqrt(runs))


def test_a_palette_of_sixteen_entries_has_as_many_colours_as_chance_gives() -> None:
    """k = 16, n = 5: the small board of these tests, where chance makes many alike."""
    board = traced(PROM)
    levels = levels_of(board)
    counts = []
    for seed in range(200):
        chance = random.Random(seed)
        dump = Dump(tuple(chance.randrange(256) for _ in range(32)))
        counts.append(PaletteMaker(board, levels, {"U1": dump}).palette().n_distinct)
    assert mean(counts) == pytest.approx(expected_distinct(16, 5), abs=4 * spread(16, 5) / math.sqrt(200))
