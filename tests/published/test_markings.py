"""Markings of chips against sources outside this project.

Two kinds of check: single markings with the document that says what they are (named in each row), and the names of
all symbols in Debian's kicad-symbols (6.0.10 or 9.0.2, unpacked below the folder that RGBROOTS_REFERENCES names, see
``symbols.py``): a symbol whose name is read as one of our types must have the supply legs of that type, and the
names of resistors, transistors, amplifiers, processors must not be read at all.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from tests.published.symbols import OutsidePin, read_kicad
from tracer.parts.library import Library
from tracer.parts.marking import read_marking

CITED = [
    # National Semiconductor, MM54HC273/MM74HC273 data sheet TL/F/5331: MM74HC
    ("MM74HC374N", "74x374", "HC"),
    # Philips IC15 data handbook, ordering table of the N74F524: N74F, N = plastic DIP
    ("N74F374N", "74x374", "F"),
    # ST, M54/74HC696 data sheet, ordering codes: B1R = plastic DIP
    ("M74HC245B1R", "74x245", "HC"),
    # Texas Instruments, CD54/74HC541 family data sheet, title: CD before 74 is no CMOS of the series 4000
    ("CD74HCT541E", "74x541", "HCT"),
    # Debian kicad-symbols 6.0.10 has symbols SN74LS07, SN74LS07N, HM62256BLP, KM62256CLP, CY62256-70PC, 27C256, PAL16L8
    ("SN7407N", "74x07", "std"),
    ("SN74LS07N", "74x07", "LS"),
    ("HM62256LP-12", "62256", "CMOS"),
    ("KM62256CLP-7", "62256", "CMOS"),
    ("CY62256-70PC", "62256", "CMOS"),
    ("AM27C256-150DC", "27256", "EPROM"),
    ("PAL16L8ACN", "PAL16L8", "PAL"),
    # cctalk mailing list, July 2002, thread on HM7611, 82S129 and 74S287 as one another's replacement
    ("SN74S287N", "82S129", "S"),
    ("82S129A", "82S129", "S"),
    ("HM7611-5", "82S129", "S"),
    # cctalk mailing list, January 2010: DM74S288N is 32x8
    ("DM74S288N", "82S123", "S"),
    # cctalk mailing list, 2021: 82S23, 74S188 and IM5600
    ("SN74S188N", "82S23", "S"),
    ("IM5600", "82S23", "S"),
    # Signetics, Bipolar Memories, 1973, contents: 82S23 and 82S123 are 32x8
    ("N82S123N", "82S123", "S"),
    # a collector's page: N82S137AF is a 1024x4 bipolar PROM
    ("N82S137AF", "82S137", "S"),
    # Texas Instruments, The TTL Data Book, PROM pages: TBP28S42 512x8 in 20 pins, TBP28SA46 512x8 in 24 pins
    ("TBP28S42N", "82S147", "S"),
    ("TBP28S46N", "82S141", "S"),
    ("TBP28SA46N", "82S140", "S"),
    # Debian lepton-eda 1.9.18, symbols am27S13D, am9128, TC5516AP, 27C2001
    ("AM27S13DC", "82S131", "S"),
    ("AM9128-15PC", "6116", "NMOS"),
    ("TC5516AP", "6116", "CMOS"),
    ("27C2001", "27020", "EPROM"),
    # NTE2114 data sheet: 1024x4
    ("NTE2114", "2114", "NMOS"),
    # German encyclopedia, article 2114 (SRAM): U 214 D
    ("U214D", "2114", "NMOS"),
    # Schematics of Soviet computers: repository lvov, docs/chips.md
    ("К155ЛА3", "74x00", "std"),
    ("К155ЛЛ1", "74x32", "std"),
    ("К155ЛП5", "74x86", "std"),
    ("К531ЛН1", "74x04", "S"),
    ("К155КП2", "74x153", "std"),
    ("К555ИД7", "74x138", "LS"),
    ("К555ИЕ7", "74x193", "LS"),
    ("К573РФ5", "2716", "EPROM"),
    # Schematics of Soviet computers: repository CenMiniCom, MUX/README.md
    ("К555ЛА3", "74x00", "LS"),
    ("К555ЛН1", "74x04", "LS"),
    ("К555КП7", "74x151", "LS"),
    ("К555ИР35", "74x273", "LS"),
]


@pytest.mark.parametrize(("marking", "type_", "family"), CITED)
def test_a_cited_marking_is_read(marking: str, type_: str, family: str) -> None:
    found = read_marking(marking)
    assert (found.type, found.family) == (type_, family)


CHIPS = (
    "74xx",
    "74xGxx",
    "4xxx",
    "Memory_RAM",
    "Memory_EPROM",
    "Memory_Flash",
    "Logic_Programmable",
    "Analog_Switch",
)

#: Symbols whose name does not say that their package numbers the legs in another way, and one mistake.
OTHER_LEGS = {
    "AS6C1008-xxB": "BGA by the letter B",
    "AS6C1008-xxT": "TSOP by the letter T",
    "AS6C1008-xxST": "TSOP by the letters ST",
    "CY62128EV30xx-xxZ": "TSOP by the letter Z",
    "CY62128Exx-xxZ": "TSOP by the letter Z",
    "IS61C5128AL-10TLI": "TSOP by the letter T",
    "IS61C5128AS-25TLI": "TSOP by the letter T",
    "IS64C5128AL-12CTLA3": "TSOP by the letter T",
    "IS61C5128AS-25HLI": "TSOP by the letter H",
    "IS61C5128AS-25QLI": "SOP of 32 legs by the letter Q",
    "AM29F400Bx-xxEx": "TSOP by the letter E",
    "74LVC1G3157": "6.0.10 only: two units have the numbers of another part; 9.0.2 agrees",
}

#: Libraries besides `CHIPS` that hold some chips of these numberings, or of the converters that we have.
MIXED = frozenset({"4xxx_IEEE", "74xx_IEEE", "Memory_EEPROM", "Logic_LevelTranslator", "Timer"}) | frozenset(
    {"Interface", "Video", "Amplifier_Video", "Amplifier_Operational"}
)

#: Amplifiers whose symbols show a package that numbers the legs in a way of its own.
OWN_AMPLIFIERS = {
    "ADA4807-2ACP": "10 pads by the letters ACP",
    "LM318J": "14 legs by the letter J",
    "OPA4340EA": "16 legs by the letters EA",
}


def kicad() -> Path:
    folder = os.environ.get("RGBROOTS_REFERENCES")
    if not folder or not (Path(folder) / "kicad-symbols").exists():
        pytest.skip("RGBROOTS_REFERENCES names no folder with the unpacked kicad-symbols")
    return Path(folder) / "kicad-symbols"


def test_a_symbol_has_the_supply_legs_of_the_type_that_its_name_is_read_as() -> None:
    """Pins that stand on one another are hidden there as passive, so pins of the same name count as supply too."""
    library = Library()
    wrong, compared = [], set()
    for symbol in read_kicad(kicad(), CHIPS):
        ours = library.find(read_marking(symbol.name).type or "")
        if ours is None or symbol.name in OTHER_LEGS:
            continue
        compared.add(symbol.name)
        supply_names = {p.name for p in symbol.pins if p.kind == "supply"}
        for pin in symbol.pins:
            here = ours.by_number.get(pin.number)
            is_supply = pin.kind == "supply" or pin.name in supply_names
            if here is None or is_supply != (here.direction == "power"):
                if here and (here.name == pin.name == "VPP" or "nc" in (pin.kind, here.direction)):
                    continue
                wrong.append((symbol.name, ours.name, pin.number, pin.name))
    assert wrong == []
    assert len(compared) > 400


def test_every_logic_symbol_is_read_as_the_number_in_its_name() -> None:
    """74LS273 -> 74x273: the number is cut out here by hand, apart from the rules of the program."""
    names = [s.name for s in read_kicad(kicad(), ("74xx", "74xGxx")) if "74" in s.name]
    expected = {n: re.split(r"74(?:CB3[TQ]|[A-Z]*)", n, maxsplit=1)[1] for n in names}
    wrong = []
    for name, rest in expected.items():
        found, number = read_marking(name).type, re.match(r"\d+(?:[GT]U?\d+)?", rest)
        assert number
        if found not in (f"74x{number[0]}", "7454" if name == "7454" else None):
            wrong.append((name, found))
    assert wrong == []
    assert len(names) > 350


def test_the_names_of_other_parts_are_not_read() -> None:
    folder = kicad() / "usr/share/kicad/symbols"
    read: dict[str, list[str]] = {}
    n_names = 0
    for file in sorted(folder.glob("*.kicad_sym")):
        if file.stem in CHIPS or file.stem in MIXED:
            continue
        for name in re.findall(
            r'^(?:  |\t)\(symbol "([^"]+)"', file.read_text(encoding="utf-8"), re.MULTILINE
        ):
            n_names += 1
            if (type_ := read_marking(name).type) is not None:
                read.setdefault(file.stem, []).append(f"{name} as {type_}")
    assert read == {}
    assert n_names > 10_000


def test_an_amplifier_has_the_legs_of_the_type_that_its_name_is_read_as() -> None:
    """Inputs, output and supplies of every symbol, in the usual package or in one of the others."""
    library = Library()
    wrong, compared = [], 0
    for symbol in read_kicad(kicad(), ("Amplifier_Operational",)):
        ours = library.find(read_marking(symbol.name).type or "")
        if ours is None or symbol.name in OWN_AMPLIFIERS:
            continue
        compared += 1
        drawn = {p.number: _amplifier_leg(p) for p in symbol.pins}
        packages = [
            {p.number: _known_leg(p.name) for p in o.pins if p.name != "NC"}
            for o in (ours, *ours.other_packages)
        ]
        if not any(all(drawn.get(n) == leg for n, leg in legs.items()) for legs in packages):
            wrong.append(symbol.name)
    assert wrong == []
    assert compared > 60


def _amplifier_leg(pin: OutsidePin) -> str:
    return pin.name if pin.name in ("+", "-", "V+", "V-") else "out" if pin.kind == "out" else ""


def _known_leg(name: str) -> str:
    return name if name.startswith("V") else name[0] if name[0] in "+-" else "out"
