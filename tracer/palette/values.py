"""The colours that the contents of a board's memories show, as values.

Order everywhere: colours as in the map, entries by number, bits of the entry number lightest first.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracer.base.findings import Finding

__all__ = [
    "RGB",
    "Difference",
    "Entry",
    "EntryBit",
    "LegDifference",
    "Palette",
    "PaletteColour",
    "PaletteMemory",
    "Sought",
    "as_hex",
]

#: Red, green and blue, 0 to 255 each.
RGB = tuple[int, int, int]


def as_hex(rgb: RGB) -> str:
    """``#ff8000``."""
    return "#{:02x}{:02x}{:02x}".format(*rgb)


@dataclass(frozen=True, slots=True)
class PaletteColour:
    """A colour of the board and its number of bits."""

    name: str
    n_bits: int


@dataclass(frozen=True, slots=True)
class PaletteMemory:
    """A memory whose contents were read, and from which file."""

    part: str
    type: str
    place: str | None
    depth: int
    width: int
    file: str = ""
    form: str = ""
    sha256: str = ""


@dataclass(frozen=True, slots=True)
class EntryBit:
    """One bit of the entry number: the address legs that it sets and what drives them."""

    bit: int
    legs: tuple[str, ...]
    net: str | None
    driven_by: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry.

    Attributes
    ----------
    entry : int
        Levels of the live address lines at the first memory, A0 first; lines that are tied are left out.
    codes : tuple of int
        By colour: levels of the bits' drivers, bit 0 the lightest.
    volts : tuple of (float or None)
        By colour, at the load; None where they are not known.
    rgb : RGB
    """

    entry: int
    codes: tuple[int, ...]
    volts: tuple[float | None, ...]
    rgb: RGB

    @property
    def colour(self) -> str:
        """``#rrggbb``."""
        return as_hex(self.rgb)


@dataclass(frozen=True, slots=True)
class LegDifference:
    """A data leg at which two dumps differ.

    Attributes
    ----------
    part, pin, name : str
    feeds : tuple of (str, int)
        Colours and bits.
    n_entries : int
        In how many entries.
    level : int or None
        The one level that the other dump has in every entry there is; None when it has both.
    """

    part: str
    pin: str
    name: str
    feeds: tuple[tuple[str, int], ...]
    n_entries: int
    level: int | None


@dataclass(frozen=True, slots=True)
class Difference:
    """What is otherwise in other dumps.

    Attributes
    ----------
    files : tuple of (str, str)
        Part and the other dump.
    pairs : tuple of (Entry, Entry)
        Entries that differ in a bit: as given, and in the other dumps.
    legs : tuple of LegDifference
    n_unseen_words : int
        Words that differ where no colour is read from them.
    """

    files: tuple[tuple[str, str], ...]
    pairs: tuple[tuple[Entry, Entry], ...]
    legs: tuple[LegDifference, ...]
    n_unseen_words: int = 0


@dataclass(frozen=True, slots=True)
class Sought:
    """A colour that was asked for.

    Attributes
    ----------
    asked, shown : RGB
        The colour, and the nearest that the board can show.
    codes : tuple of int
        By colour.
    words : tuple of (str, str)
        Memory and its word, heaviest bit first, ``-`` for bits that feed no colour.
    entries : tuple of int
        Those that show it.
    nearest : tuple of int
        Where none does: the entries nearest to it.
    nearest_shown : RGB or None
        What those show.
    """

    asked: RGB
    shown: RGB
    codes: tuple[int, ...]
    words: tuple[tuple[str, str], ...]
    entries: tuple[int, ...]
    nearest: tuple[int, ...] = ()
    nearest_shown: RGB | None = None

    @property
    def is_exact(self) -> bool:
        """Whether the board can show it."""
        return self.asked == self.shown

    @property
    def off_by(self) -> RGB:
        """Distance in red, green and blue."""
        red, green, blue = (abs(a - b) for a, b in zip(self.asked, self.shown, strict=True))
        return red, green, blue


@dataclass(frozen=True, slots=True)
class Palette:
    """All entries of a board's palette.

    Attributes
    ----------
    board : str
    load_ohm : float or None
    colours : tuple of PaletteColour
    memories : tuple of PaletteMemory
    index : tuple of EntryBit
    entries : tuple of Entry
    difference : Difference or None
    sought : Sought or None
    findings : tuple of Finding
    """

    board: str
    load_ohm: float | None
    colours: tuple[PaletteColour, ...]
    memories: tuple[PaletteMemory, ...]
    index: tuple[EntryBit, ...]
    entries: tuple[Entry, ...]
    difference: Difference | None = None
    sought: Sought | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def n_distinct(self) -> int:
        """How many different colours the entries show."""
        return len({e.rgb for e in self.entries})

    @property
    def n_figures(self) -> int:
        """Hexadecimal figures of an entry number."""
        return max(2, -(-len(self.index) // 4))
