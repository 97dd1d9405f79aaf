"""Facts and choices for the symbols: legs of parts that the program has no table for, rows of the boxes.

Legs of the three processors: from memory, unchecked; they lie off the video
path. The 56-way edge connector: a trade standard, after two public pin-out
lists that agree (swallowam.co.uk/jamma.php; pinout_help.txt, January 2003). The oscillator can: common practice, no source.
"""

from __future__ import annotations

__all__ = ["CHIPS", "EDGE_LETTERS", "EDGE_NUMBERS", "LAYOUTS"]


def _legs(text: str, kinds: dict[str, str]) -> dict[str, tuple[str, str]]:
    """Names in leg order; kind by name, else by its letters, else input."""
    found: dict[str, tuple[str, str]] = {}
    for number, name in enumerate(text.split(), start=1):
        stem = name.strip("/").rstrip("0123456789")
        found[str(number)] = (name, kinds.get(name, kinds.get(stem, "input")))
    return found


_SUPPLY = {"VCC": "power_in", "VSS": "power_in", "GND": "power_in"}

#: Type -> leg -> (name, KiCad's pin type).
CHIPS: dict[str, dict[str, tuple[str, str]]] = {
    "Z80A": _legs(
        "A11 A12 A13 A14 A15 CLK D4 D3 D5 D6 VCC D2 D7 D0 D1 /INT /NMI /HALT /MREQ /IORQ "
        "/RD /WR /BUSACK /WAIT /BUSREQ /RESET /M1 /RFSH GND A0 A1 A2 A3 A4 A5 A6 A7 A8 A9 A10",
        _SUPPLY
        | dict.fromkeys(("A", "HALT", "BUSACK", "M", "RFSH"), "output")
        | dict.fromkeys(("MREQ", "IORQ", "RD", "WR"), "tri_state")
        | {"D": "bidirectional"},
    ),
    "68000": _legs(
        "D4 D3 D2 D1 D0 /AS /UDS /LDS R//W /DTACK /BG /BGACK /BR VCC CLK GND /HALT /RESET /VMA E /VPA /BERR "
        "/IPL2 /IPL1 /IPL0 FC2 FC1 FC0 A1 A2 A3 A4 A5 A6 A7 A8 A9 A10 A11 A12 A13 A14 A15 A16 A17 A18 A19 A20 "
        "VCC A21 A22 A23 GND D15 D14 D13 D12 D11 D10 D9 D8 D7 D6 D5",
        _SUPPLY
        | dict.fromkeys(("A", "AS", "UDS", "LDS", "R//W", "FC"), "tri_state")
        | dict.fromkeys(("BG", "VMA", "E"), "output")
        | {"D": "bidirectional", "HALT": "bidirectional", "RESET": "bidirectional"},
    ),
    "6809": _legs(
        "VSS /NMI /IRQ /FIRQ BS BA VCC A0 A1 A2 A3 A4 A5 A6 A7 A8 A9 A10 A11 A12 A13 A14 A15 D7 D6 D5 D4 D3 D2 D1 D0 "
        "R//W /DMABREQ E Q MRDY /RESET EXTAL XTAL /HALT",
        _SUPPLY | {"A": "output", "R//W": "output", "BS": "output", "BA": "output", "E": "output", "Q": "output"}
        | {"D": "bidirectional"},
    ),
    "OSC": {
        "1": ("NC", "no_connect"),
        "7": ("GND", "power_in"),
        "8": ("OUT", "output"),
        "14": ("VCC", "power_in"),
    },
}  # fmt: skip

_Sides = tuple[str, ...]

#: Type -> sections -> (rows on the left, on the right, pins on top, below). A dot leaves a gap.
LAYOUTS: dict[str, tuple[_Sides, ...]] = {
    "Z80A": (
        (
            "CLK /RESET . /WAIT /BUSREQ /INT /NMI . /M1 /RFSH /HALT /BUSACK . /MREQ /IORQ /RD /WR . D[0..7]",
            "A[0..15]",
        ),
    ),
    "68000": (
        (
            "CLK /RESET /HALT . /DTACK /BERR /VPA . /BR /BGACK /BG . /IPL0 /IPL1 /IPL2 . FC0 FC1 FC2 . E /VMA . "
            "/AS /UDS /LDS R//W",
            "A[1..23] . D[0..15]",
        ),
    ),
    "6809": (
        (
            "EXTAL XTAL . /RESET /HALT /NMI /IRQ /FIRQ . MRDY /DMABREQ . BS BA . E Q R//W",
            "A[0..15] . D[0..7]",
        ),
    ),
    "OSC": ((". NC", ". OUT"),),
    "82S123": (("A[0..4] . /CE", "O[1..8]"),),
    "82S129": (("A[0..7] . /CE1 /CE2", "O[1..4]"),),
    "2716": (("A[0..10] . /CE /OE VPP", "D[0..7]"),),
    "2764": (("A[0..12] . /CE /OE /PGM VPP", "D[0..7] . NC"),),
    "27256": (("A[0..14] . /CE /OE VPP", "D[0..7]"),),
    "6116": (("A[0..10] . /CS /OE /WE", "D[0..7]"),),
    "62256": (("A[0..14] . /CS /OE /WE", "D[0..7]"),),
    "74x74": (
        (". 1D . 1CLK .", ". 1Q . /1Q", "/1PRE", "/1CLR"),
        (". 2D . 2CLK .", ". 2Q . /2Q", "/2PRE", "/2CLR"),
    ),
    "74x138": (("A B C . G1 /G2A /G2B", "Y[0..7]"),),
    "74x157": (("1A 1B 2A 2B 3A 3B 4A 4B . S /G", "1Y . 2Y . 3Y . 4Y"),),
    "74x161": (("A B C D . ENP ENT /LD CLK /CLR", "QA QB QC QD . RCO"),),
    "74x166": (("SER A B C D E F G H . SH//LD CLK CLKINH /CLR", "QH"),),
    "74x174": (("[1..6]D . CLK /CLR", "[1..6]Q"),),
    "74x244": (("1A[1..4] 2A[1..4] . /1OE /2OE", "1Y[1..4] 2Y[1..4]"),),
    "74x245": (("A[1..8] . DIR /OE", "B[1..8]"),),
    "74x273": (("[1..8]D . CLK /CLR", "[1..8]Q"),),
    "74x374": (("[1..8]D . CLK /OE", "[1..8]Q"),),
    "74x393": (
        ("1A . 1CLR", "1QA 1QB 1QC 1QD"),
        ("2A . 2CLR", "2QA 2QB 2QC 2QD"),
    ),
}

_NUMBERED = (
    "GND GND +5V +5V -5V +12V KEY COUNTER1 LOCKOUT1 SPEAKER+ AUDIO+ RED BLUE VIDEO_GND TEST COIN1 START1 "
    "P1_UP P1_DOWN P1_LEFT P1_RIGHT P1_B1 P1_B2 P1_B3 NC NC GND GND"
)
_LETTERED = (
    "GND GND +5V +5V -5V +12V KEY COUNTER2 LOCKOUT2 SPEAKER- AUDIO_GND GREEN CSYNC SERVICE TILT COIN2 START2 "
    "P2_UP P2_DOWN P2_LEFT P2_RIGHT P2_B1 P2_B2 P2_B3 NC NC GND GND"
)

#: The component side of the 56-way edge connector, legs 1 to 28.
EDGE_NUMBERS = _NUMBERED.split()

#: The solder side: letters without G I O Q, then a to f.
EDGE_LETTERS = dict(zip("ABCDEFHJKLMNPRSTUVWXYZabcdef", _LETTERED.split(), strict=True))
