"""A fault of the path: what it is, where it lies, and what it does to bits, memories and stages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from tracer.suspects.hits import BitId, Hit

__all__ = ["AddressFault", "Change", "ControlRole", "Effect", "Fault", "Group", "Leg", "Manner", "Place", "SharedControl", "StageChange", "What"]  # fmt: skip

What = Literal["chip", "joint", "track", "resistor", "transistor", "diode", "beyond", "unlisted", "outside"]
Manner = Literal[
    # a chip
    "stuck", "weak", "floating", "input shorted", "dead", "frozen", "all weak", "not clocked", "held cleared",
    "not enabled", "not selected", "control dead", "blanks", "address stuck", "address shorted", "data shorted", "unstable",
    "pair dead", "other words", "not written", "held on", "loose",
    # a joint or a track
    "open", "comes and goes", "shorted", "joined", "colours shorted", "no supply", "control open",
    # a resistor, a diode or a transistor; open and shorted as above
    "wrong value", "common open", "collector-emitter short", "base-emitter short", "collector-base short",
    # behind the connector
    "wire open", "input weak", "no load", "wires swapped",
    "something else", "elsewhere",
]  # fmt: skip
ControlRole = Literal["clock", "clear", "enable"]
#: What can happen to a part of a stage.
Change = Literal[
    "scale", "remove", "lift", "transistor open", "collector-emitter short", "base-emitter short", "collector-base short",
    "diode open", "diode short",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Leg:
    """A leg of a part, with its name where it has one."""

    part: str
    pin: str
    name: str = ""


class Place(NamedTuple):
    """Where a suspect lies: a part, or the two ends of a connection; nowhere for what is outside the path.

    An end is a leg (``U9.17``), a resistor, a net, or ``ground``.
    """

    ends: tuple[str, ...] = ()

    @property
    def is_connection(self) -> bool:
        """Whether it lies between two ends."""
        return len(self.ends) > 1


#: A suspect: everything of one kind at one place.
Group = tuple[What, Place]


@dataclass(frozen=True, slots=True)
class SharedControl:
    """A clock, clear or enable that several chips of the path hang on.

    Attributes
    ----------
    role : {'clock', 'clear', 'enable'}
    net : str
    parts : tuple of str
        The chips.
    legs : tuple of (str, str)
        The leg that drives it, then those of the chips.
    stands : int or None
        The level at which it stands when it is dead; None where either can be.
    """

    role: ControlRole
    net: str
    parts: tuple[str, ...]
    legs: tuple[tuple[str, str], ...]
    stands: int | None


@dataclass(frozen=True, slots=True)
class AddressFault:
    """What a memory's address suffers; lines are numbered among the live ones.

    Attributes
    ----------
    held : tuple of (int, int)
        Lines that stand, each with its level.
    joined : tuple of (int, int), or None
        Two lines that are one.
    unsteady : tuple of int
        Lines that float: right at one time and wrong at the next.
    is_partial : bool
        Only a part of the picture has it, as it comes from one of several layers.
    """

    held: tuple[tuple[int, int], ...] = ()
    joined: tuple[int, int] | None = None
    unsteady: tuple[int, ...] = ()
    is_partial: bool = False


@dataclass(frozen=True, slots=True)
class StageChange:
    """What happens to a part of a colour's stage: `at` is its place among the resistors or the transistors."""

    colour: str
    change: Change
    at: int
    factor: float = 0.0


@dataclass(frozen=True)
class Effect:
    """What a fault does.

    Attributes
    ----------
    hits : mapping of (str, int) to tuple of Hit
        By colour and bit: where it enters the bit's path, from the memory on.
    memories : tuple of str
        The memories that `address` and `scrambled` are about.
    address : AddressFault or None
    scrambled : bool
        Those memories hold other words than the game wrote.
    tied : tuple of (str, int)
        Two bits whose memory pins are shorted: a low one wins.
    stage : tuple of StageChange
    joined : tuple of str
        Colours whose pins are shorted together; a single one is shorted to ground.
    blanked : tuple of str
        Colours that are blanked all the time.
    severed : tuple of str
        Colours of which nothing comes to the connector's pin, nor to the monitor.
    gains : tuple of (str, float)
        Behind the connector's pin: the share of a colour that the monitor still gets.
    swapped : tuple of str
        Two colours that come to each other's input.
    stands : tuple of ((str, str), int)
        Legs beside the bits' own that stand at a level.
    in_part : tuple of ((str, str), int)
        Such legs that stand in a part of the picture only.
    still : tuple of (str, str)
        Such legs that stand, at which level nobody knows.
    floats : tuple of (str, str)
        Such legs that nothing drives.
    lifted : tuple of str
        Colours whose pins stand at the supply.
    is_mixed : bool
        Each leg stands at a level of its own; those that are told are one example.
    """

    hits: Mapping[BitId, tuple[Hit, ...]] = field(default_factory=dict)
    memories: tuple[str, ...] = ()
    address: AddressFault | None = None
    scrambled: bool = False
    tied: tuple[BitId, ...] = ()
    stage: tuple[StageChange, ...] = ()
    joined: tuple[str, ...] = ()
    blanked: tuple[str, ...] = ()
    severed: tuple[str, ...] = ()
    gains: tuple[tuple[str, float], ...] = ()
    swapped: tuple[str, ...] = ()
    stands: tuple[tuple[tuple[str, str], int], ...] = ()
    in_part: tuple[tuple[tuple[str, str], int], ...] = ()
    still: tuple[tuple[str, str], ...] = ()
    floats: tuple[tuple[str, str], ...] = ()
    lifted: tuple[str, ...] = ()
    is_mixed: bool = False


@dataclass(frozen=True)
class Fault:
    """One way in which the path can have failed.

    Attributes
    ----------
    what : What
    manner : Manner
    part : str
        The part it lies at; empty for what is outside.
    place : Place
        What tells suspects apart.
    legs : tuple of Leg
        Those it is about.
    effect : Effect
    level : int or None
        The level that it holds things at.
    prior : float
        Before any evidence; all together 1.
    ohm : float or None
        Of a resistor, as marked.
    colours : tuple of str
        Those whose pins or stage it is at.
    control : SharedControl or None
        The one that is dead.
    fights : str
        The other chip that it is about: the memory that is not written or fought, the second of a pair.
    """

    what: What
    manner: Manner
    part: str
    place: Place
    legs: tuple[Leg, ...] = ()
    effect: Effect = field(default_factory=Effect)
    level: int | None = None
    prior: float = 0.0
    ohm: float | None = None
    colours: tuple[str, ...] = ()
    control: SharedControl | None = None
    fights: str = ""

    @property
    def group(self) -> Group:
        """The suspect that it belongs to."""
        return self.what, self.place
