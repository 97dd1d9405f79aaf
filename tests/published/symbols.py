"""Readers of symbol libraries that other people made, as a check on our part tables.

Three Debian packages, unpacked (not installed) below one folder that the
environment variable ``RGBROOTS_REFERENCES`` names:

``kicad-symbols/``  ``usr/share/kicad/symbols/*.kicad_sym``; 6.0.10 (Debian 12) or 9.0.2 (Debian 13).
    S-expressions: number, name, electrical type, unit. CC-BY-SA-4.0.
``lepton-eda/``     ``usr/share/lepton-eda/sym/*/*.sym``; 1.9.18. gEDA text records: number, label, type,
    slots, supply as ``net=`` attributes. GPL-2+.
``pcb-common/``     ``usr/share/pcb/m4/*.m4``; 4.2.2. Lists of pin names in leg order, no types. GPL-2+.

The readers give what the files say, unjudged; nothing of the files is kept in this project.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

__all__ = ["OutsidePart", "OutsidePin", "kicad_version", "our_name", "read_gschem", "read_kicad", "read_pcb"]


@dataclass(frozen=True)
class OutsidePin:
    """One pin as a library draws it.

    Attributes
    ----------
    number, name : str
        As written there, overbar marks (``~{X}``, ``\\_X\\_``) included.
    kind : str
        in, out, three-state, open collector, bidirectional, supply, nc; "" where the library does not say.
    unit : int
        Which of the equal gates of a package it belongs to; 0 = all or none.
    low : bool
        Drawn with an overbar over the whole name, a leading slash or a bubble.
    """

    number: str
    name: str
    kind: str
    unit: int = 0
    low: bool = False


@dataclass(frozen=True)
class OutsidePart:
    """One symbol: its library's name for it, the file, its pins (several units joined).

    Attributes
    ----------
    marks_levels : bool
        Every active-low pin is marked (KiCad). gschem draws the bubble apart from its pin, so there a
        missing mark says nothing.
    names_only : bool
        The library has no pin types, so a name is all there is to tell the direction.
    """

    name: str
    file: str
    pins: tuple[OutsidePin, ...]
    marks_levels: bool = False
    names_only: bool = False


_KICAD_KINDS = {
    "input": "in",
    "output": "out",
    "tri_state": "three-state",
    "open_collector": "open collector",
    "open_emitter": "out",
    "bidirectional": "bidirectional",
    "power_in": "supply",
    "power_out": "supply",
    "no_connect": "nc",
    "unconnected": "nc",
}
_GSCHEM_KINDS = {
    "in": "in",
    "clk": "in",
    "out": "out",
    "tri": "three-state",
    "tp": "out",
    "oe": "out",
    "oc": "open collector",
    "io": "bidirectional",
    "pwr": "supply",
}
_KICAD_LOW_SHAPES = frozenset(
    {"inverted", "inverted_clock", "input_low", "output_low", "clock_low", "edge_clock_high"}
)
_OVERBAR = re.compile(r"~\{[^}]*\}|~.+|\\_.*\\_|/.+|.+#")
_TOKEN = re.compile(r'"((?:[^"\\]|\\.)*)"|([()])|([^\s()"]+)')
_KICAD_74 = re.compile(r"(?:SN|CD|MC|MM)?74[A-Z]{0,5}?(\dGU?\d+|\d+)(?:[A-Z]\w?)?")
_CMOS = re.compile(r"(?:HEF|CD)?(4\d{3,4}|14\d{3})B?E?")
_M4_LIST = re.compile(r"^define\(`PinList_(\w+)', ``(.*)''\)", re.MULTILINE)
_SUB_SYMBOL = re.compile(r"_(\d+)_(\d+)$")

#: Symbols whose name is no type of ours: library letter and name there -> type here. An empty name: not this
#: part, or its numbers are those of another package.
SPECIAL = {
    "KN": {
        "7454": "7454",
        "628128_DIP32_SSOP32": "628128",
        "HM628128_DIP32_SOP32": "628128",
        "AS6C1008-xxP": "628128",
        "AS6C4008-55PCN": "628512",
        "CY7C199": "62256",
        "KM62256CLP": "62256",
        "HM62256BLP": "62256",
        "CY62256-70PC": "62256",
        "IS62C256AL": "62256",
        "HY6264AxP": "6264",
        "uPD4364CX": "6264",
        "IDT7132": "7132",
        "IDT7201": "7201",
        "IDT7202": "7202",
        "IDT7203": "7203",
        "IDT7204": "7204",
        "MK4116N": "4116",
        "MK4164N": "4164",
        "27C64": "2764",
        "27C010": "27010",
        "27C020": "27020",
        "27C040": "27040",
        "27C080": "27080",
        "27C128": "27128",
        "27C256": "27256",
        "27C512": "27512",
        "27C512PLCC": "27512 PLCC32",
        "IDT7205": "7205",
        "IDT7206": "7206",
        "IDT7207": "7207",
        "IDT7208": "7208",
        "IS61C5128AL-10KLI": "7C1049",
        "IS64C5128AL-12KLA3": "7C1049",
        "SST39SF010": "29F010",
        "SST39SF020": "29F020",
        "SST39SF040": "29F040",
        "PEEL22CV10AP": "GAL22V10",
        "PEEL22CV10AS": "GAL22V10",
        "CD74HC4067M": "74x4067",
        "CD74HC4067SM": "74x4067",
        "SN74CB3Q3384ADBQ": "74x3384",
        "SN74CB3Q3384APW": "74x3384",
        "Z80CPU": "Z80",
    },
    "L": {
        "2732-1": "2732",
        "27C2001-1": "27020",
        "27C256-1": "27256",
        "HM6264P15-1": "6264",
        "N82S23N-1": "82S23",
        "am27S13D-1": "82S131",
        "am9128-1": "6116",
        "TC5516AP-1": "6116",
        "ST39SF020A-1": "29F020",
        "22V10-DIP-1": "GAL22V10",
        "22V10-PLCC": "GAL22V10 PLCC28",
        "N82S100N-1": "82S100",
        "idt7204-1": "7204",
    },
    "P": {"43256_dil": "62256", "7451L_dil": "74x51", "7451S_dil": "7451", "7454_dil": "7454", "MC68000_dil": "68000"},
}  # fmt: skip

Tree = list["Tree | str"]


def _parse(text: str) -> Tree:
    stack: list[Tree] = [[]]
    for quoted, bracket, word in _TOKEN.findall(text):
        if bracket == "(":
            stack.append([])
        elif bracket:
            done = stack.pop()
            stack[-1].append(done)
        else:
            stack[-1].append(word or quoted)
    return stack[0]


def _clauses(tree: Tree, head: str) -> Iterator[Tree]:
    return (t for t in tree if isinstance(t, list) and t and t[0] == head)


def _word(tree: Tree, head: str) -> str:
    return next((str(t[1]) for t in _clauses(tree, head) if len(t) > 1), "")


def kicad_version(folder: Path) -> int:
    """The library format's date, as 20211014 (KiCad 6) or 20241209 (KiCad 9); 0 where there is none."""
    for file in sorted(folder.glob("usr/share/kicad/symbols/74xx.kicad_sym")):
        if found := re.search(r"\(version (\d+)\)", file.read_text(encoding="utf-8")[:400]):
            return int(found[1])
    return 0


def read_kicad(folder: Path, libraries: tuple[str, ...]) -> list[OutsidePart]:
    """All symbols of some libraries; derived symbols (`extends`) get their parent's pins.

    Pins of the second body style (De Morgan) repeat those of the first and are left out.
    """
    parts: list[OutsidePart] = []
    for library in libraries:
        file = folder / f"usr/share/kicad/symbols/{library}.kicad_sym"
        symbols = {
            str(s[1]): s for s in _clauses(_list(_parse(file.read_text(encoding="utf-8"))[0]), "symbol")
        }
        for name, symbol in symbols.items():
            parent = symbol
            while extends := _word(parent, "extends"):
                parent = symbols[extends]
            parts.append(OutsidePart(name, file.name, tuple(_kicad_pins(parent)), marks_levels=True))
    return parts


def _list(tree: Tree | str) -> Tree:
    return tree if isinstance(tree, list) else []


def _kicad_pins(symbol: Tree) -> Iterator[OutsidePin]:
    for body in _clauses(symbol, "symbol"):
        found = _SUB_SYMBOL.search(str(body[1]))
        unit, style = (int(found[1]), int(found[2])) if found else (0, 0)
        for pin in _clauses(body, "pin") if style < 2 else ():
            kind, name = _KICAD_KINDS.get(str(pin[1]), ""), _word(pin, "name")
            low = str(pin[2]) in _KICAD_LOW_SHAPES or bool(_OVERBAR.fullmatch(name))
            yield OutsidePin(_word(pin, "number"), name, kind, unit, low)


def read_gschem(folder: Path, directories: tuple[str, ...]) -> list[OutsidePart]:
    """All symbols of some directories, with every slot and the supply pins of ``net=`` attributes."""
    files = [f for d in directories for f in sorted(folder.glob(f"usr/share/lepton-eda/sym/{d}/*.sym"))]
    return [OutsidePart(f.stem, f"{f.parent.name}/{f.name}", tuple(_gschem_pins(f))) for f in files]


def _gschem_pins(file: Path) -> Iterator[OutsidePin]:
    drawn: list[dict[str, str]] = []
    slots: dict[int, list[str]] = {}
    inside, pending = False, False
    for line in _gschem_text(file.read_text(encoding="utf-8", errors="replace")):
        if line in "{}":
            inside = line == "{" and pending
        elif line.startswith("P "):
            drawn.append({})
            pending = True
        elif "=" not in line:
            pending = False
        elif inside:
            key, _, value = line.partition("=")
            drawn[-1][key] = value
        elif line.startswith("slotdef="):
            slot_number, _, pins = line[8:].partition(":")
            slots[int(slot_number)] = re.split(r"[,\s]+", pins.strip())
        elif line.startswith("net="):
            name, _, numbers = line[4:].partition(":")
            yield from (OutsidePin(n.strip(), name, "supply") for n in numbers.split(","))
    for pin in drawn:
        kind = _GSCHEM_KINDS.get(pin.get("pintype", ""), "")
        order = int(pin.get("pinseq", "0"))
        in_slots = {s: p[order - 1] for s, p in slots.items() if 0 < order <= len(p)}
        for slot, number in (in_slots or {0: pin.get("pinnumber", "")}).items():
            label = pin.get("pinlabel", "")
            unit = slot if len(slots) > 1 else 0
            yield OutsidePin(number, label, kind, unit, bool(_OVERBAR.fullmatch(label)))


def _gschem_text(text: str) -> Iterator[str]:
    """Object heads, braces and ``key=value`` texts; a text record says how many lines follow it."""
    lines = iter(text.splitlines())
    for line in lines:
        if line.startswith("T "):
            value = [next(lines, "") for _ in range(int(line.split()[9]))]
            yield value[0] if len(value) == 1 and "=" in value[0] else "text"
            continue
        yield line


def read_pcb(folder: Path, files: tuple[str, ...]) -> list[OutsidePart]:
    """The DIL pin lists of some m4 files; the names have no direction."""
    parts = []
    for file in files:
        text = (folder / f"usr/share/pcb/m4/{file}.m4").read_text(encoding="latin-1")
        for name, names in _M4_LIST.findall(text):
            words = [n.strip("`'") for n in names.split("',`")]
            pins = (OutsidePin(str(i), n, "", low=n.startswith("/")) for i, n in enumerate(words, 1))
            parts.append(OutsidePart(name, f"{file}.m4", tuple(pins), names_only=True))
    return parts


def our_name(letter: str, symbol: str) -> str:
    """What a symbol of library K, N, L or P would be called here."""
    special = SPECIAL["KN" if letter in "KN" else letter]
    if symbol in special:
        return special[symbol]
    name = symbol.removesuffix("_dil").removesuffix("_Split")
    name = re.sub(r"-\d$", "", name) if letter == "L" else name
    if found := _KICAD_74.fullmatch(name):
        return "74x" + found[1]
    if found := _CMOS.fullmatch(name):
        return found[1]
    return name
