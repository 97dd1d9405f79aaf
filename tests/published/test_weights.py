"""Voltages and weights of resistor networks against textbook theorems.

Sources, named beside each check: Millman's theorem (the voltage of a node that resistors join to known voltages is
``sum(v/R) / sum(1/R)``), Thevenin's theorem, superposition, the R-2R ladder (``V = VH n / 2^bits`` behind R), the
model of Ebers and Moll for the transistor. The figures follow from the theorem; each was worked out twice, by the
formula and as an operating point in ngspice 39.3 (Debian package ``ngspice`` 39.3+ds-1), which agree within the
tolerance given. The numbers N01 ... are those of that list.

Common practice, no source: three bits of 1k, 470 and 220 ohm into 75 ohm; what 12, 15 and 8 bits can show; a table
of 256 colours behind an index of 8 bits.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import pytest

from tracer.bitmap.model import WEIGHT_DECIMALS, BitMap
from tracer.circuit.graph import build_circuit
from tracer.importers import parse_netlist, read_netlist
from tracer.netlist.board import Netlist
from tracer.parts.library import load_library
from tracer.stage.gather import gather_stage
from tracer.stage.network import Network, Resistor, Transistor
from tracer.stage.nodal import solve_network
from tracer.stage.weights import weigh_stage
from tracer.tracing.pipeline import trace

HIGH = 5.0
THREE = (1000, 470, 220)
FOUR = (2200, 1000, 470, 220)


def weighted(ohms: Sequence[float], load: float | None = None) -> Network:
    """A resistor from each bit (``b0`` the lightest) to one node ``x``, and a load to ground."""
    resistors = [Resistor(f"R{i}", f"b{i}", "x", ohm) for i, ohm in enumerate(ohms)]
    return Network((*resistors, *([Resistor("RL", "x", "gnd", load)] if load else [])))


def ladder(bits: int, load: float | None = None, r: float = 1000.0) -> Network:
    """An R-2R ladder: 2R from each bit to its node, R from node to node, 2R to ground at the lightest."""
    resistors = [Resistor(f"RB{i}", f"b{i}", f"n{i}", 2 * r) for i in range(bits)]
    resistors += [Resistor(f"RS{i}", f"n{i}", f"n{i + 1}", r) for i in range(bits - 1)]
    resistors.append(Resistor("RT", "n0", "gnd", 2 * r))
    if load:
        resistors.append(Resistor("RL", f"n{bits - 1}", "gnd", load))
    return Network(tuple(resistors))


def volts(network: Network, node: str, bits: int, code: int) -> float:
    fixed = {f"b{i}": HIGH * (code >> i & 1) for i in range(bits)}
    return solve_network(network, {**fixed, "gnd": 0.0})[node]


def test_n01_three_sources_on_one_node() -> None:
    """Millman's theorem, a textbook's worked example: 28 V, 0 V and 7 V make 8 V (resistances from memory)."""
    network = Network(
        (Resistor("R1", "a", "x", 4), Resistor("R2", "x", "gnd", 2), Resistor("R3", "b", "x", 1))
    )
    assert solve_network(network, {"a": 28, "b": 7, "gnd": 0})["x"] == pytest.approx(8.0, abs=1e-6)


MILLMAN = [
    pytest.param(THREE, 75, "0 0.23802 0.50643 0.74445 1.08192 1.31994 1.58835 1.82637", id="N02"),
    pytest.param(THREE, None, "0 0.65163 1.38644 2.03806 2.96194 3.61356 4.34837 5", id="N03"),
    pytest.param(THREE, 1000, "0 0.57649 1.22658 1.80308 2.62043 3.19692 3.84701 4.42351", id="N04"),
    pytest.param((470, 220), 75, "0 0.53174 1.13600 1.66774", id="N05"),
    pytest.param(
        FOUR,
        75,
        "0 0.10590 0.23298 0.33888 0.49570 0.60160 0.72868 0.83459 "
        "1.05900 1.16490 1.29198 1.39788 1.55471 1.66061 1.78769 1.89359",
        id="N06",
    ),
    # Nearest E12 value to the 460.7 ohm that give 0.700 V (IEC 60063 series).
    pytest.param((470,), 75, "0 0.68807", id="N16"),
]


@pytest.mark.parametrize(("ohms", "load", "expected"), MILLMAN)
def test_weighted_resistors_follow_millman(ohms: tuple[int, ...], load: int | None, expected: str) -> None:
    """Every code; the figures as listed, and Millman's formula in exact fractions."""
    network = weighted(ohms, load)
    listed = [float(word) for word in expected.split()]
    assert len(listed) == 2 ** len(ohms)
    for code, figure in enumerate(listed):
        found = volts(network, "x", len(ohms), code)
        assert found == pytest.approx(figure, abs=1e-4)
        through = sum(Fraction(5, ohm) for i, ohm in enumerate(ohms) if code >> i & 1)
        formula = through / (sum(Fraction(1, ohm) for ohm in ohms) + (Fraction(1, load) if load else 0))
        assert found == pytest.approx(float(formula), abs=1e-8)


def test_n07_ladder() -> None:
    """R-2R ladder of 4 bits without a load: n sixteenths of the high level."""
    for code, figure in {0: 0, 1: 0.3125, 2: 0.625, 4: 1.25, 8: 2.5, 11: 3.4375, 15: 4.6875}.items():
        assert volts(ladder(4), "n3", 4, code) == pytest.approx(figure, abs=1e-4)
    for code in range(16):
        assert volts(ladder(4), "n3", 4, code) == pytest.approx(HIGH * code / 16, abs=1e-7)


@pytest.mark.parametrize(("load", "figure"), [(75, 0.23983), (1000, 1.71875)])
def test_n08_loaded_ladder(load: int, figure: float) -> None:
    """Thevenin: the ladder is n sixteenths of the high level behind R, whatever n."""
    assert volts(ladder(4, load), "n3", 4, 11) == pytest.approx(figure, abs=1e-4)
    for code in range(16):
        assert volts(ladder(4, load), "n3", 4, code) == pytest.approx(
            HIGH * code / 16 * load / (1000 + load), abs=1e-7
        )


@pytest.mark.parametrize(("base", "ohm", "figure"), [(2.0, 470, 1.318), (3.0, 75, 2.257), (0.5, 470, 0.001)])
def test_n22_emitter_follower(base: float, ohm: float, figure: float) -> None:
    """Ebers and Moll, IS 1e-14, gain 100, 27 C, 5 V at the collector: a drop of 0.68 to 0.74 V, nothing below 0.6 V.

    Solved by bisection, and by ngspice 39.3: 1.31846, 2.25709, 0.00113 V.
    """
    network = Network((Resistor("RE", "e", "gnd", ohm),), transistors=(Transistor("Q1", "b", "c", "e"),))
    assert solve_network(network, {"b": base, "c": 5.0, "gnd": 0.0})["e"] == pytest.approx(figure, abs=5e-3)


# From here on through the program: a table of parts and nets in, a bit map out.

#: Data pins and address pins of the 24-pin byte-wide RAM, and D and Q of the octal register: JEDEC pin-outs,
#: compared with other people's symbols in test_pin_data.py.
RAM_DATA = ("9", "10", "11", "13", "14", "15", "16", "17")
RAM_ADDRESS = ("8", "7", "6", "5", "4", "3", "2", "1", "23", "22", "19")
REGISTER = (
    ("3", "2"),
    ("4", "5"),
    ("7", "6"),
    ("8", "9"),
    ("13", "12"),
    ("14", "15"),
    ("17", "16"),
    ("18", "19"),
)


class Board:
    """A table of part, pin, net, marking that grows line by line."""

    def __init__(self) -> None:
        self.rows: list[str] = []
        self.bits = 0

    def pin(self, part: str, pin: str, net: str, marking: str) -> None:
        self.rows.append(f"{part},{pin},{net},{marking}")

    def resistor(self, ohm: int, a: str, b: str) -> None:
        reference = f"R{len(self.rows)}"
        self.pin(reference, "1", a, str(ohm))
        self.pin(reference, "2", b, str(ohm))

    def stored_bit(self) -> str:
        """One more bit: RAM pin, register, and the net of the register's output."""
        chip, place = divmod(self.bits, 8)
        name = f"B{self.bits}"
        self.bits += 1
        d, q = REGISTER[place]
        self.pin(f"U{chip + 1}", RAM_DATA[place], f"{name}_STORED", "6116")
        self.pin(f"U{chip + 11}", d, f"{name}_STORED", "74LS273")
        self.pin(f"U{chip + 11}", q, f"{name}_SHOWN", "74LS273")
        return f"{name}_SHOWN"

    def index(self, lines: int) -> None:
        """Address lines from a register, the rest of the address pins tied low."""
        for chip in range((self.bits + 7) // 8):
            for place, pin in enumerate(RAM_ADDRESS):
                self.pin(f"U{chip + 1}", pin, f"PIXEL{place}" if place < lines else "GND", "6116")
        for place in range(lines):
            self.pin("U21" if place < 8 else "U22", REGISTER[place % 8][1], f"PIXEL{place}", "74LS374")

    def netlist(self) -> Netlist:
        return parse_netlist("part,pin,net,marking\n" + "\n".join(self.rows), "board.csv")

    def map(self) -> BitMap:
        return trace(self.netlist(), pins={"red": "J1.1", "green": "J1.2", "blue": "J1.3"})

    def shares(self, net: str) -> list[float]:
        """As the stage is weighed, heaviest bit first; the map keeps six decimals of them."""
        stage = gather_stage(build_circuit(self.netlist(), load_library()), net)
        return [bit.weight for bit in weigh_stage(stage, 75).bits]


COLOURS = ("red", "green", "blue")


def weighted_board(ohms: dict[str, tuple[int, ...]], index: int = 0) -> Board:
    """A board with these resistors, heaviest bit first in the RAM."""
    board = Board()
    for pin, (colour, values) in enumerate(ohms.items(), 1):
        board.pin("J1", str(pin), colour.upper(), "3-pin header")
        for ohm in values:
            board.resistor(ohm, board.stored_bit(), colour.upper())
    board.index(index)
    return board


def weights(bitmap: BitMap, colour: str) -> list[float]:
    return [bit.weight for found in bitmap.colours if found.name == colour for bit in found.bits]


def sources(bitmap: BitMap, colour: str) -> list[str]:
    found = next(c for c in bitmap.colours if c.name == colour)
    return [f"{bit.paths[0].source.part}.{bit.paths[0].source.pin}" for bit in found.bits]


def test_f3_shares_of_three_resistors() -> None:
    """Shares of 1/R, by arithmetic: 0.13033, 0.27729, 0.59239 for 1k, 470, 220; the load takes no part."""
    board = weighted_board(dict.fromkeys(COLOURS, (1000, 470, 220)))
    bitmap = board.map()
    for number, colour in enumerate(bitmap.colours):
        assert [b.weight for b in colour.bits] == pytest.approx([0.59239, 0.27729, 0.13033], abs=1e-5)
        assert [b.bit for b in colour.bits] == [2, 1, 0]
        assert [r.ohm for b in colour.bits for r in b.resistors] == [220, 470, 1000]
        assert colour.levels == 8
        # The heaviest was drawn last: the order is that of the weights.
        places = [3 * number + place for place in (2, 1, 0)]
        assert sources(bitmap, colour.name) == [f"U{p // 8 + 1}.{RAM_DATA[p % 8]}" for p in places]
        assert all(b.is_traced for b in colour.bits)


def test_n06_shares_of_four_resistors() -> None:
    """Shares of 1/R, by arithmetic: 2k2, 1k, 470, 220."""
    board = weighted_board(dict.fromkeys(COLOURS, FOUR))
    bitmap = board.map()
    expected = [float(Fraction(1, ohm) / sum(Fraction(1, each) for each in FOUR)) for ohm in reversed(FOUR)]
    assert expected == pytest.approx([0.55926, 0.26178, 0.12304, 0.05593], abs=1e-5)
    for colour in COLOURS:
        assert board.shares(colour.upper()) == pytest.approx(expected, abs=1e-9)
        assert weights(bitmap, colour) == [round(share, WEIGHT_DECIMALS) for share in expected]
    assert [colour.levels for colour in bitmap.colours] == [16, 16, 16]


def test_n08_shares_of_a_ladder() -> None:
    """R-2R ladder: 8, 4, 2 and 1 fifteenths though all resistors from the bits are equal."""
    board = Board()
    for pin, colour in enumerate(COLOURS, 1):
        name = colour.upper()
        board.pin("J1", str(pin), f"{name}3", "3-pin header")
        for place in (3, 2, 1, 0):
            board.resistor(2000, board.stored_bit(), f"{name}{place}")
            if place:
                board.resistor(1000, f"{name}{place}", f"{name}{place - 1}")
        board.resistor(2000, f"{name}0", "GND")
    bitmap = board.map()
    for number, colour in enumerate(COLOURS):
        expected = [8 / 15, 4 / 15, 2 / 15, 1 / 15]
        assert board.shares(f"{colour.upper()}3") == pytest.approx(expected, abs=1e-9)
        assert weights(bitmap, colour) == [round(share, WEIGHT_DECIMALS) for share in expected]
        places = range(4 * number, 4 * number + 4)
        assert sources(bitmap, colour) == [f"U{p // 8 + 1}.{RAM_DATA[p % 8]}" for p in places]
    assert [colour.levels for colour in bitmap.colours] == [16, 16, 16]


def test_n02_volts_of_a_gathered_stage() -> None:
    """Millman's theorem again, with the network as the program gathers it from the table: N02."""
    board = weighted_board(dict.fromkeys(COLOURS, THREE))
    stage = gather_stage(build_circuit(board.netlist(), load_library()), "RED")
    drivers = ["B0_SHOWN", "B1_SHOWN", "B2_SHOWN"]
    assert sorted(driver.net for driver in stage.drivers) == drivers
    loaded = Network((*stage.network.resistors, Resistor("load", stage.node("RED"), "gnd", 75)))
    listed = (0, 0.23802, 0.50643, 0.74445, 1.08192, 1.31994, 1.58835, 1.82637)
    for code, figure in enumerate(listed):
        fixed = {stage.node(net): HIGH * (code >> i & 1) for i, net in enumerate(drivers)}
        found = solve_network(loaded, {**stage.fixed, **fixed, "gnd": 0.0})
        assert found[stage.node("RED")] == pytest.approx(figure, abs=1e-4)


TWELVE = (4, 4, 4)
SETS = {2: (220, 470), 3: (220, 470, 1000), 4: (220, 470, 1000, 2200), 5: (220, 470, 1000, 2200, 4700)}


@pytest.mark.parametrize(
    ("bits", "possible"),
    [((4, 4, 4), 4096), ((5, 5, 5), 32768), ((3, 3, 2), 256), ((2, 2, 2), 64), ((3, 3, 3), 512)],
)
def test_colours_possible(bits: tuple[int, int, int], possible: int) -> None:
    """Bits a colour -> colours (common practice, no source): 2 to the number of bits, as every level differs."""
    bitmap = weighted_board({c: SETS[n] for c, n in zip(COLOURS, bits, strict=True)}).map()
    assert bitmap.colours_possible == possible == 2 ** sum(bits)


@pytest.mark.parametrize(("lines", "at_once"), [(4, 16), (5, 32), (8, 256), (11, 2048)])
def test_colours_at_once(lines: int, at_once: int) -> None:
    """An index of n lines shows 2 to the n of 4,096 colours at once (common practice, no source)."""
    bitmap = weighted_board({c: SETS[n] for c, n in zip(COLOURS, TWELVE, strict=True)}, index=lines).map()
    assert (bitmap.colours_possible, bitmap.colours_at_once) == (4096, at_once)


def test_equal_resistors_give_fewer_levels_than_codes() -> None:
    """N29: two resistors of 470 ohm are three levels, not four (superposition)."""
    bitmap = weighted_board(dict.fromkeys(COLOURS, (470, 470))).map()
    assert [colour.levels for colour in bitmap.colours] == [3, 3, 3]
    assert bitmap.colours_possible == 27
    for colour in COLOURS:
        assert weights(bitmap, colour) == pytest.approx([0.5, 0.5])


def test_two_byte_wide_memories_hold_twelve_bits_as_eight_and_four() -> None:
    """One memory of eight bits feeds two whole colours of four, the other the third (common practice, no source)."""
    bitmap = weighted_board({c: SETS[n] for c, n in zip(COLOURS, TWELVE, strict=True)}, index=8).map()
    assert memories(bitmap) == {"red": {"U1"}, "green": {"U1"}, "blue": {"U2"}}


def memories(bitmap: BitMap) -> dict[str, set[str | None]]:
    """Colour -> references of the memories that hold its bits."""
    return {
        colour.name: {path.source.part for bit in colour.bits for path in bit.paths if path.role == "picture"}
        for colour in bitmap.colours
    }


DUNLIN = Path(__file__).parents[2] / "netlists" / "dunlin" / "dunlin.net"


@pytest.mark.skipif(not DUNLIN.is_file(), reason="the demo board dunlin is not there")
def test_the_demo_board_of_twelve_bits() -> None:
    """Four bits a colour, 4,096 colours, 256 at once, out of two byte-wide memories."""
    bitmap = trace(read_netlist(DUNLIN))
    assert {c.name: len(c.bits) for c in bitmap.colours} == dict.fromkeys(COLOURS, 4)
    assert (bitmap.colours_possible, bitmap.colours_at_once) == (4096, 256)
    found = sorted(memories(bitmap).values(), key=sorted)
    assert all(len(chips) == 1 for chips in found)
    assert len(set().union(*found)) == 2
