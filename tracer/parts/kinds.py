"""Kinds of parts: a table of what each does to a bit.

Everything that the program asks of a kind as a whole is a flag here; a comparison with one kind (`Kind.GATE`) stands
only where that kind alone is treated in its own way.
"""

from __future__ import annotations

from enum import Flag, StrEnum, auto

__all__ = ["Does", "Kind"]


class Does(Flag):
    """What a kind of part does, or what may be believed of its drawing."""

    NOTHING = 0
    #: Its data pins show stored bits: a way back ends there.
    STORES = auto()
    #: An output hands on what stands at a data input.
    PASSES = auto()
    #: Current flows through it both ways, as through a resistor of some ohms or none.
    CONDUCTS = auto()
    #: A passive part or a transistor: it has a way through and no outputs of its own.
    DISCRETE = auto()
    #: What it puts on an address line is the picture's: it counts, chooses, holds or looks up pixels.
    MAKES_PICTURE = auto()
    #: The library may not know its legs: a pin drawn as passive may be an output.
    MAY_DRIVE = auto()
    #: Nothing is known of its inside: a pin drawn as an input may be an output as well.
    IS_CLOSED = auto()


_HANDS_ON = Does.PASSES | Does.MAKES_PICTURE
_MEMORY = Does.STORES | Does.MAKES_PICTURE
_CLOSED = Does.MAY_DRIVE | Does.IS_CLOSED
_SERIES = Does.CONDUCTS | Does.DISCRETE


class Kind(StrEnum):
    """A kind: its name in data files and in the map, a word for people, and what it does.

    >>> Kind("ram").stores, Kind.GATE.passes, Kind.RESISTOR.conducts, Kind.RESISTOR.words
    (True, True, True, 'resistor')
    """

    words: str
    does: Does

    REGISTER = "register", "register (edge-triggered)", _HANDS_ON
    LATCH = "latch", "transparent latch", _HANDS_ON
    BUFFER = "buffer", "buffer or inverter", _HANDS_ON
    TRANSCEIVER = "transceiver", "two-way buffer", _HANDS_ON
    MULTIPLEXER = "multiplexer", "multiplexer", _HANDS_ON
    GATE = "gate", "gate", _HANDS_ON
    SHIFT_REGISTER = "shift register", "shift register", _HANDS_ON
    RAM = "ram", "RAM", _MEMORY
    ROM = "rom", "mask ROM", _MEMORY
    PROM = "prom", "bipolar PROM", _MEMORY
    EPROM = "eprom", "EPROM, EEPROM or flash", _MEMORY
    COUNTER = "counter", "counter", Does.MAKES_PICTURE
    DECODER = "decoder", "decoder", Does.NOTHING
    ADDER = "adder", "adder", Does.MAKES_PICTURE
    COMPARATOR = "comparator", "comparator", Does.NOTHING
    ENCODER = "encoder", "encoder", Does.NOTHING
    LOGIC = "logic", "logic that makes its output itself", Does.MAY_DRIVE | Does.MAKES_PICTURE
    LOGIC_ARRAY = "logic array", "programmable logic", _CLOSED | Does.MAKES_PICTURE
    DAC = "dac", "digital to analogue converter", Does.MAY_DRIVE
    AMPLIFIER = "amplifier", "analogue amplifier", Does.MAY_DRIVE
    ANALOGUE_SWITCH = "analogue switch", "analogue switch", Does.PASSES
    CPU = "cpu", "processor", _CLOSED
    CUSTOM = "custom", "custom chip", _CLOSED
    COLOUR_ENCODER = "colour encoder", "composite video encoder", Does.NOTHING
    POWER = "power", "supply part", Does.NOTHING
    TRANSISTOR = "transistor", "transistor", Does.DISCRETE
    DIODE = "diode", "diode", Does.DISCRETE
    RESISTOR = "resistor", "resistor", _SERIES
    RESISTOR_PACK = "resistor pack", "resistor pack", _SERIES
    TRIMMER = "trimmer", "trimmer", _SERIES
    CAPACITOR = "capacitor", "capacitor", Does.NOTHING
    INDUCTOR = "inductor", "coil or ferrite", _SERIES
    LINK = "link", "link, fuse or zero-ohm part", _SERIES
    SWITCH = "switch", "switch or jumper", Does.CONDUCTS
    CONNECTOR = "connector", "connector", Does.NOTHING
    OTHER = "other", "part without a way through", Does.NOTHING
    UNKNOWN = "unknown", "part without an entry", _CLOSED

    def __new__(cls, name: str, words: str = "", does: Does = Does.NOTHING) -> Kind:
        """A row of the table; with the name alone, the kind of that name."""
        kind = str.__new__(cls, name)
        kind._value_, kind.words, kind.does = name, words, does
        return kind

    @property
    def stores(self) -> bool:
        """Whether it is a memory: a way back ends at its data pins."""
        return Does.STORES in self.does

    @property
    def passes(self) -> bool:
        """Whether it hands a bit on from a data input."""
        return Does.PASSES in self.does

    @property
    def conducts(self) -> bool:
        """Whether current flows through it both ways."""
        return Does.CONDUCTS in self.does

    @property
    def is_discrete(self) -> bool:
        """Whether it is no chip: resistors, coils, links, diodes, transistors."""
        return Does.DISCRETE in self.does

    @property
    def makes_picture(self) -> bool:
        """Whether an address line that it sets is the picture's."""
        return Does.MAKES_PICTURE in self.does

    @property
    def is_resistor(self) -> bool:
        """Whether it is a resistor, alone or in a pack."""
        return self in (Kind.RESISTOR, Kind.RESISTOR_PACK)

    @property
    def selects(self) -> bool:
        """Whether it shows one of several inputs, as its control legs say."""
        return self in (Kind.MULTIPLEXER, Kind.ANALOGUE_SWITCH)

    @property
    def is_two_way(self) -> bool:
        """Whether a leg is an input at one time and an output at another."""
        return self in (Kind.TRANSCEIVER, Kind.ANALOGUE_SWITCH)

    @property
    def may_drive(self) -> bool:
        """Whether a pin that is drawn as passive may be an output."""
        return Does.MAY_DRIVE in self.does

    @property
    def is_closed(self) -> bool:
        """Whether nothing is known of its inside."""
        return Does.IS_CLOSED in self.does
