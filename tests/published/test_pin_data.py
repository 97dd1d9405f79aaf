"""Our part tables against symbol libraries that other people made: pin by pin, with every disagreement listed.

The libraries are Debian packages, unpacked below the folder that the environment variable
RGBROOTS_REFERENCES names (``symbols.py`` says which files of them are read):

K   kicad-symbols 6.0.10 (Debian 12)      N   kicad-symbols 9.0.2 (Debian 13), whichever is there
L   lepton-eda 1.9.18                     P   pcb-common 4.2.2

Our tables were written from data-book knowledge and then compared; nothing was copied from these files.
They corrected slips of ours: the active level of 74x148 and 74x348 pin 5 and of AD813 pins 1 to 3.
"""

from __future__ import annotations

import os
import tomllib
from collections import Counter
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from pathlib import Path

import pytest

from tests.published.pin_comparison import Difference, Tally, compare
from tests.published.symbols import OutsidePart, kicad_version, our_name, read_gschem, read_kicad, read_pcb
from tracer.parts.library import Library
from tracer.parts.model import PartType

LIBRARY = Library()
KICAD = (
    "74xx 74xGxx 4xxx Memory_RAM Memory_EPROM Memory_EEPROM Memory_Flash Logic_Programmable Analog_Switch "
    "Amplifier_Video Amplifier_Operational Video Logic_LevelTranslator CPU CPU_NXP_68000 CPU_NXP_6800"
)


@dataclass(frozen=True)
class Verdict:
    """A known disagreement: where, about what, and who is right."""

    letters: str
    symbol: str
    pins: str
    topic: str
    right: str


#: Who is right: by the makers' data sheets, from memory where no library stands against the first.
DISAGREEMENTS = (
    Verdict("KN", "74LS22", "6 8", "direction", "ours: the 22 is the open-collector 20; drawn as a variant of the 20"),
    Verdict("KN", "74LS154", "18 19", "polarity", "ours: both enables are active low; P marks them so"),
    Verdict("KN", "74LS156", "4 5 6 7 9 10 11 12", "direction", "ours: open collector; drawn as a variant of the 155"),
    Verdict("KN", "74LS170", "6 7 9 10", "direction", "ours: open collector; L says so, the 670 is the three-state one"),
    Verdict("KN", "74LS181", "14", "direction", "ours: A=B is open collector; L says so"),
    Verdict("KN", "74LS242 74LS243", "3 4 5 6", "direction", "ours: both sides drive; L draws both so"),
    Verdict("K", "74LS256", "*", "direction pair order", "ours: a decoder is drawn under this number; N has the latch"),
    Verdict("KN", "74LS293", "1 3", "number", "ours: pins 1 and 3 are set inputs of the 290 only; P has NC"),
    Verdict("KN", "74LS295", "10 11 12 13", "direction", "ours: three-state, pin 8 enables them"),
    Verdict("K", "74LS54", "6 8 11 12", "number", "ours: the plain 7454 is drawn; L and N have the LS54"),
    Verdict("N", "7454", "6 8", "number", "ours: output on 8 in the DIP package; P says so"),
    Verdict("KN", "74LVC1G38", "4", "direction", "ours: open drain; drawn as a plain NAND"),
    Verdict("K", "74LVC1G3157", "2 5 6 7", "number supply direction", "ours: two units have the numbers of another part; N agrees"),
    Verdict("KN", "4029", "5", "polarity", "ours: carry in counts while low; L marks it so"),
    Verdict("N", "4060 74HC4060", "9 10", "direction", "ours: 9 and 10 drive the crystal or RC network"),
    Verdict("N", "HEF4094B", "4 5 6 7 11 12 13 14", "direction", "ours: three-state, pin 15 enables them; L says so"),
    Verdict("KN", "CY7C199", "*", "address", "both: makers number the addresses of a RAM as they like; no effect"),
    Verdict("KN", "IDT7132", "3 45", "direction", "ours: busy is open drain"),
    Verdict("KN", "IDT7132", "16 17 18 19 20 21 22 23 25 26 27 28 29 30 31 32", "direction", "ours: the names there say I/O"),
    Verdict("KN", "IDT7201 IDT7202", "20", "direction", "ours: expansion out is an output; the same library's 7204 says so"),
    Verdict("KN", "IDT7203 IDT7204 IDT7205 IDT7206 IDT7207 IDT7208", "9 10 11 12 13 16 17 18 19", "direction", "ours: three-state; the same library's 7201 says so"),
    Verdict("KN", "74CBT1G384 74CBTD1G384", "1", "direction", "ours: a switch passes both ways"),
    Verdict("KN", "74LVC2G66 74AUC2G66", "1 5", "direction", "ours: a switch passes both ways; the other ends are drawn so"),
    Verdict("K", "74LVC2G53 74AUC2G53", "2", "direction", "ours: inhibit, an input; N agrees"),
    Verdict("KN", "SN74CBT3253", "1 15", "polarity", "ours: the bar stands over OE alone there, behind the number"),
    Verdict("KN", "LM741", "1 5", "number", "both: offset, which passes nothing on"),
    Verdict("N", "MK4164N", "1", "number", "both: this maker's refresh input; not connected on most makers' parts"),
    Verdict("KN", "AD725", "5", "supply", "ours: chip enable, an input"),
    Verdict("KN", "Z80CPU", "1 2 3 4 5 30 31 32 33 34 35 36 37 38 39 40", "direction", "ours: the address floats while the bus is granted"),
    Verdict("L", "74147-1", "15", "number", "ours: not connected; there is no input 0"),
    Verdict("L", "74684-1", "1 19", "direction", "ours: totem pole; the open-collector one is the 685"),
    Verdict("L", "40373-1 40374-1", "10 20", "supply", "ours: supply and ground are exchanged there"),
    Verdict("L", "40105-1", "2 15", "direction", "ours: input ready is an output, shift out an input"),
    Verdict("L", "4044-1 4044-2", "2 13", "number", "ours: 1Q of the 4044 is on 13; drawn as the 4043"),
    Verdict("L", "4502-1", "4", "polarity", "ours: the outputs float while pin 4 is high"),
    Verdict("L", "4508-1", "3 15", "polarity", "ours: the outputs float while 3 and 15 are high"),
    Verdict("L", "4053-1", "6", "supply", "ours: inhibit; tied to ground there, drawn as an input in 4053-2"),
    Verdict("L", "4060-1 4060-2", "12", "polarity", "ours: reset is active high; N says so"),
    Verdict("L", "4076-1", "3 4 5 6", "direction", "ours: three-state; the same library's 74173 says so"),
    Verdict("L", "4512-1", "14", "direction", "ours: three-state, pin 15 disables it"),
    Verdict("L", "4514-1 4515-1", "1", "polarity", "ours: the latch follows while strobe is high"),
    Verdict("L", "4514-1 4515-1", "9 10", "order", "ours: outputs 0 to 3 are on 11 9 10 8; drawn as if in a row"),
    Verdict("L", "4520-1", "9 10 11 13 14 15", "direction order role", "ours: the second counter runs 9 to 15 as the first 1 to 7; K says so"),
    Verdict("L", "4724-1", "15", "polarity", "ours: clear is active high"),
    Verdict("P", "74157_dil 74158_dil", "13", "direction", "ours: 4B; 4Y is on 12 there too"),
    Verdict("P", "74354_dil", "9", "role", "ours: /DC latches the data, it is none"),
    Verdict("P", "74241_dil", "19", "polarity", "ours: the second enable is active high; K says so"),
    Verdict("P", "628128_dil", "30", "number", "ours: second chip select; K says so"),
)  # fmt: skip


@dataclass(frozen=True)
class Comparison:
    """One library compared with all our types."""

    tally: Tally
    differences: tuple[Difference, ...]
    #: Type here -> whether a symbol agrees in everything and tells something of two thirds of its pins.
    agrees: dict[str, bool]


def package(name: str) -> Path:
    folder = os.environ.get("RGBROOTS_REFERENCES")
    if not folder:
        pytest.skip("RGBROOTS_REFERENCES is not set; it names the folder of the unpacked symbol packages")
    if not (Path(folder) / name).is_dir():
        pytest.skip(f"the folder that RGBROOTS_REFERENCES names has no {name}")
    return Path(folder) / name


def kicad_letter() -> str:
    return "K" if kicad_version(package("kicad-symbols")) < 20230000 else "N"


@cache
def symbols_of(letter: str) -> tuple[OutsidePart, ...]:
    if letter == "L":
        return tuple(read_gschem(package("lepton-eda"), ("74", "4000", "memory", "pla", "misc", "idt")))
    if letter == "P":
        return tuple(read_pcb(package("pcb-common"), ("TTL_74xx_DIL", "memory", "logic", "lsi")))
    return tuple(read_kicad(package("kicad-symbols"), tuple(KICAD.split())))


def ours_of(name: str) -> PartType | None:
    """Our type of a name, or of a name and a package (``27512 PLCC32``)."""
    name, _, package = name.partition(" ")
    found = LIBRARY.find(name)
    if found is None or not package:
        return found
    return next(t for t in found.other_packages if t.package == package)


@cache
def comparison(letter: str) -> Comparison:
    total: Counter[str] = Counter()
    differences: list[Difference] = []
    agrees: dict[str, bool] = {}
    for symbol in symbols_of(letter):
        if ours := ours_of(our_name(letter, symbol.name)):
            tally = Tally()
            found = compare(ours, symbol, tally)
            total.update(vars(tally))
            differences += found
            confirms = not found and 3 * tally.told >= 2 * tally.pins
            agrees[ours.name] = agrees.get(ours.name, False) or confirms
    return Comparison(Tally(**total), tuple(differences), agrees)


def letter_at_hand(letter: str) -> str:
    return kicad_letter() if letter == "kicad" else letter


LETTERS = [
    pytest.param("kicad", id="kicad-symbols"),
    pytest.param("L", id="lepton-eda"),
    pytest.param("P", id="pcb-common"),
]

#: At least so many types and so many of each check, by library: fewer means that nothing was compared.
LEAST = {
    "K": (280, Tally(6300, 6250, 950, 5200, 480, 940, 420, 430, 900)),
    "N": (290, Tally(6900, 6850, 1000, 5650, 550, 1030, 490, 495, 1000)),
    "L": (195, Tally(4700, 4600, 580, 3900, 195, 710, 200, 460, 660)),
    "P": (205, Tally(3700, 3400, 440, 2000, 255, 525, 55, 270, 555)),
}


@pytest.mark.parametrize("library", LETTERS)
def test_enough_is_compared(library: str) -> None:
    letter = letter_at_hand(library)
    found = comparison(letter)
    n_types, least = LEAST[letter]
    assert len(found.agrees) >= n_types
    assert {k: v for k, v in vars(found.tally).items() if v < vars(least)[k]} == {}


@pytest.mark.parametrize("library", LETTERS)
def test_every_disagreement_is_listed(library: str) -> None:
    letter = letter_at_hand(library)
    unlisted = [
        d for d in comparison(letter).differences if not any(_covers(v, letter, d) for v in DISAGREEMENTS)
    ]
    assert unlisted == []


@pytest.mark.parametrize("library", LETTERS)
def test_every_listed_disagreement_is_still_there(library: str) -> None:
    letter = letter_at_hand(library)
    found = {(d.symbol, d.pin) for d in comparison(letter).differences}
    listed = {
        (symbol, pin)
        for v in DISAGREEMENTS
        if letter in v.letters and v.pins != "*"
        for symbol in v.symbol.split()
        for pin in v.pins.split()
    }
    assert listed - found == set()
    assert {s for v in DISAGREEMENTS if letter in v.letters for s in v.symbol.split()} <= {
        s for s, _ in found
    }


def _covers(verdict: Verdict, letter: str, found: Difference) -> bool:
    return (
        letter in verdict.letters
        and found.symbol in verdict.symbol.split()
        and found.topic in verdict.topic.split()
        and (verdict.pins == "*" or found.pin in verdict.pins.split())
    )


@pytest.mark.parametrize("library", LETTERS)
def test_confirmed_letters_are_true(library: str) -> None:
    """A type bears a library's letter exactly when a symbol there confirms it (see `Comparison`)."""
    letter = letter_at_hand(library)
    sources = tomllib.loads((files("tracer.parts") / "data" / "sources.toml").read_text(encoding="utf-8"))
    text = sources["confirmed"][letter]
    claimed = {t.name for t in LIBRARY.all_types() if text in t.confirmed}
    agreeing = {name for name, agrees in comparison(letter).agrees.items() if agrees}
    assert claimed == agreeing


#: A type, two of its pins to exchange, and what the comparison must say then: it can fail.
MISTAKES = [
    ("74x273", "1Q", "1D", "direction"),
    ("74x273", "1D", "2D", "pair"),
    ("74x157", "2B", "3B", "pair"),
    ("74x374", "GND", "CLK", "supply"),
    ("74x173", "CLR", "/G1", "polarity"),
    ("74x138", "Y0", "Y1", "order"),
    ("62256", "A0", "A1", "address"),
    ("74x10", "1Y", "2Y", "pair"),
]


@pytest.mark.parametrize("library", LETTERS)
@pytest.mark.parametrize(("name", "one", "two", "topic"), MISTAKES)
def test_a_wrong_table_is_found(library: str, name: str, one: str, two: str, topic: str) -> None:
    letter = letter_at_hand(library)
    ours = LIBRARY.find(name)
    assert ours
    wrong = _with_pins_exchanged(ours, one, two)
    found = {
        d for s in symbols_of(letter) if our_name(letter, s.name) == name for d in compare(wrong, s, Tally())
    }
    assert topic in {d.topic for d in found - set(comparison(letter).differences)}


def _with_pins_exchanged(ours: PartType, one: str, two: str) -> PartType:
    a, b = (next(p.number for p in ours.pins if p.name == name) for name in (one, two))
    other = {a: b, b: a}
    pins = tuple(replace(p, number=other.get(p.number, p.number)) for p in ours.pins)
    arcs = tuple(
        replace(arc, source=other.get(arc.source, arc.source), target=other.get(arc.target, arc.target))
        for arc in ours.arcs
    )
    return replace(ours, pins=pins, arcs=arcs)
