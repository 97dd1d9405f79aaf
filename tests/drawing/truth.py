"""The true bit maps of the demo boards, from their designs and not from any tracer.

Written by ``python -m tests.drawing``; do not edit. Bits are heaviest first.
``avocet`` is both its boards joined leg to leg, J3 of avocet-main to J1 of
avocet-video; ``avocet-video`` is the video board alone, whose bits come from
the ribbon. Where a multiplexer chooses, legs stand in the order of its inputs.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["COLOUR_PINS", "TRUTH", "Bit"]


class Bit(NamedTuple):
    """One bit.

    Attributes
    ----------
    resistors : tuple of str
        What weighs it, and `ohm` its values; in an R-2R ladder the pack of its rung.
    driver : str
        The digital output leg behind them.
    path : tuple of (str, tuple of str)
        From the driver back: leg that the bit leaves a part by, legs that it enters by.
    sources : tuple of str
        Memory legs (for ``avocet-video`` connector legs).
    """

    resistors: tuple[str, ...]
    ohm: tuple[float, ...]
    driver: str
    path: tuple[tuple[str, tuple[str, ...]], ...]
    sources: tuple[str, ...]


#: Board -> colour -> connector leg.
COLOUR_PINS: dict[str, dict[str, str]] = {
    "wren": {"red": "J1.1", "green": "J1.2", "blue": "J1.3"},
    "dunlin": {"red": "J1.12", "green": "J1.N", "blue": "J1.13"},
    "plover": {"red": "J1.1", "green": "J1.3", "blue": "J1.5"},
    "avocet-video": {"red": "J2.3", "green": "J2.2", "blue": "J2.1"},
    "avocet": {"red": "avocet-video:J2.3", "green": "avocet-video:J2.2", "blue": "avocet-video:J2.1"},
}

# fmt: off
#: Board -> colour -> bits.
TRUTH: dict[str, dict[str, tuple[Bit, ...]]] = {
    "wren": {
        "red": (
            Bit(("R1",), (220.0,), "U9.1",
                (),
                ("U9.1",)),
            Bit(("R2",), (470.0,), "U9.2",
                (),
                ("U9.2",)),
            Bit(("R3",), (1000.0,), "U9.3",
                (),
                ("U9.3",)),
        ),
        "green": (
            Bit(("R7",), (220.0,), "U9.7",
                (),
                ("U9.7",)),
            Bit(("R8",), (470.0,), "U9.9",
                (),
                ("U9.9",)),
            Bit(("R6",), (1000.0,), "U9.6",
                (),
                ("U9.6",)),
        ),
        "blue": (
            Bit(("R5",), (220.0,), "U9.5",
                (),
                ("U9.5",)),
            Bit(("R4",), (470.0,), "U9.4",
                (),
                ("U9.4",)),
        ),
    },
    "dunlin": {
        "red": (
            Bit(("R1",), (220.0,), "U13.19",
                (("U13.19", ("U13.18",)),),
                ("U9.17",)),
            Bit(("R2",), (470.0,), "U13.15",
                (("U13.15", ("U13.14",)),),
                ("U9.16",)),
            Bit(("R3",), (1000.0,), "U13.9",
                (("U13.9", ("U13.8",)),),
                ("U9.15",)),
            Bit(("R4",), (2200.0,), "U13.5",
                (("U13.5", ("U13.4",)),),
                ("U9.14",)),
        ),
        "green": (
            Bit(("R5",), (220.0,), "U13.16",
                (("U13.16", ("U13.17",)),),
                ("U9.13",)),
            Bit(("R6",), (470.0,), "U13.12",
                (("U13.12", ("U13.13",)),),
                ("U9.11",)),
            Bit(("R7",), (1000.0,), "U13.6",
                (("U13.6", ("U13.7",)),),
                ("U9.10",)),
            Bit(("R8",), (2200.0,), "U13.2",
                (("U13.2", ("U13.3",)),),
                ("U9.9",)),
        ),
        "blue": (
            Bit(("R9",), (220.0,), "U14.2",
                (("U14.2", ("U14.3",)),),
                ("U10.13",)),
            Bit(("R10",), (470.0,), "U14.10",
                (("U14.10", ("U14.11",)),),
                ("U10.11",)),
            Bit(("R11",), (1000.0,), "U14.5",
                (("U14.5", ("U14.4",)),),
                ("U10.10",)),
            Bit(("R12",), (2200.0,), "U14.7",
                (("U14.7", ("U14.6",)),),
                ("U10.9",)),
        ),
    },
    "plover": {
        "red": (
            Bit(("R105",), (240.0,), "U33.16",
                (("U33.16", ("U33.17",)), ("U31.16", ("U31.17",))),
                ("U27.18",)),
            Bit(("R104",), (510.0,), "U33.15",
                (("U33.15", ("U33.14",)), ("U31.15", ("U31.14",))),
                ("U27.17",)),
            Bit(("R103",), (1000.0,), "U33.12",
                (("U33.12", ("U33.13",)), ("U31.12", ("U31.13",))),
                ("U27.16",)),
            Bit(("R102",), (2000.0,), "U33.9",
                (("U33.9", ("U33.8",)), ("U31.9", ("U31.8",))),
                ("U27.15",)),
            Bit(("R101",), (3900.0,), "U33.6",
                (("U33.6", ("U33.7",)), ("U31.6", ("U31.7",))),
                ("U27.13",)),
        ),
        "green": (
            Bit(("R205",), (240.0,), "U33.5",
                (("U33.5", ("U33.4",)), ("U31.5", ("U31.4",))),
                ("U27.12",)),
            Bit(("R204",), (510.0,), "U33.2",
                (("U33.2", ("U33.3",)), ("U31.2", ("U31.3",))),
                ("U27.11",)),
            Bit(("R203",), (1000.0,), "U32.19",
                (("U32.19", ("U32.18",)), ("U30.19", ("U30.18",))),
                ("U26.19",)),
            Bit(("R202",), (2000.0,), "U32.16",
                (("U32.16", ("U32.17",)), ("U30.16", ("U30.17",))),
                ("U26.18",)),
            Bit(("R201",), (3900.0,), "U32.15",
                (("U32.15", ("U32.14",)), ("U30.15", ("U30.14",))),
                ("U26.17",)),
        ),
        "blue": (
            Bit(("R305",), (240.0,), "U32.12",
                (("U32.12", ("U32.13",)), ("U30.12", ("U30.13",))),
                ("U26.16",)),
            Bit(("R304",), (510.0,), "U32.9",
                (("U32.9", ("U32.8",)), ("U30.9", ("U30.8",))),
                ("U26.15",)),
            Bit(("R303",), (1000.0,), "U32.6",
                (("U32.6", ("U32.7",)), ("U30.6", ("U30.7",))),
                ("U26.13",)),
            Bit(("R302",), (2000.0,), "U32.5",
                (("U32.5", ("U32.4",)), ("U30.5", ("U30.4",))),
                ("U26.12",)),
            Bit(("R301",), (3900.0,), "U32.2",
                (("U32.2", ("U32.3",)), ("U30.2", ("U30.3",))),
                ("U26.11",)),
        ),
    },
    "avocet-video": {
        "red": (
            Bit(("RN1",), (2000.0,), "U1.10",
                (("U1.10", ("U1.11",)),),
                ("J1.6",)),
            Bit(("RN1",), (2000.0,), "U1.7",
                (("U1.7", ("U1.6",)),),
                ("J1.5",)),
            Bit(("RN1",), (2000.0,), "U1.5",
                (("U1.5", ("U1.4",)),),
                ("J1.4",)),
            Bit(("RN1",), (2000.0,), "U1.2",
                (("U1.2", ("U1.3",)),),
                ("J1.3",)),
        ),
        "green": (
            Bit(("RN3",), (2000.0,), "U2.5",
                (("U2.5", ("U2.4",)),),
                ("J1.10",)),
            Bit(("RN3",), (2000.0,), "U2.10",
                (("U2.10", ("U2.11",)),),
                ("J1.9",)),
            Bit(("RN3",), (2000.0,), "U2.2",
                (("U2.2", ("U2.3",)),),
                ("J1.8",)),
            Bit(("RN3",), (2000.0,), "U2.7",
                (("U2.7", ("U2.6",)),),
                ("J1.7",)),
        ),
        "blue": (
            Bit(("RN5",), (2000.0,), "U2.15",
                (("U2.15", ("U2.14",)),),
                ("J1.14",)),
            Bit(("RN5",), (2000.0,), "U2.12",
                (("U2.12", ("U2.13",)),),
                ("J1.13",)),
            Bit(("RN5",), (2000.0,), "U1.15",
                (("U1.15", ("U1.14",)),),
                ("J1.12",)),
            Bit(("RN5",), (2000.0,), "U1.12",
                (("U1.12", ("U1.13",)),),
                ("J1.11",)),
        ),
    },
    "avocet": {
        "red": (
            Bit(("avocet-video:RN1",), (2000.0,), "avocet-video:U1.10",
                (("avocet-video:U1.10", ("avocet-video:U1.11",)), ("avocet-main:U22.12", ("avocet-main:U22.14", "avocet-main:U22.13"))),
                ("avocet-main:U16.9", "avocet-main:U19.9")),
            Bit(("avocet-video:RN1",), (2000.0,), "avocet-video:U1.7",
                (("avocet-video:U1.7", ("avocet-video:U1.6",)), ("avocet-main:U22.9", ("avocet-main:U22.11", "avocet-main:U22.10"))),
                ("avocet-main:U16.10", "avocet-main:U19.10")),
            Bit(("avocet-video:RN1",), (2000.0,), "avocet-video:U1.5",
                (("avocet-video:U1.5", ("avocet-video:U1.4",)), ("avocet-main:U22.7", ("avocet-main:U22.5", "avocet-main:U22.6"))),
                ("avocet-main:U16.11", "avocet-main:U19.11")),
            Bit(("avocet-video:RN1",), (2000.0,), "avocet-video:U1.2",
                (("avocet-video:U1.2", ("avocet-video:U1.3",)), ("avocet-main:U22.4", ("avocet-main:U22.2", "avocet-main:U22.3"))),
                ("avocet-main:U16.12", "avocet-main:U19.12")),
        ),
        "green": (
            Bit(("avocet-video:RN3",), (2000.0,), "avocet-video:U2.5",
                (("avocet-video:U2.5", ("avocet-video:U2.4",)), ("avocet-main:U23.12", ("avocet-main:U23.14", "avocet-main:U23.13"))),
                ("avocet-main:U17.9", "avocet-main:U20.9")),
            Bit(("avocet-video:RN3",), (2000.0,), "avocet-video:U2.10",
                (("avocet-video:U2.10", ("avocet-video:U2.11",)), ("avocet-main:U23.9", ("avocet-main:U23.11", "avocet-main:U23.10"))),
                ("avocet-main:U17.10", "avocet-main:U20.10")),
            Bit(("avocet-video:RN3",), (2000.0,), "avocet-video:U2.2",
                (("avocet-video:U2.2", ("avocet-video:U2.3",)), ("avocet-main:U23.7", ("avocet-main:U23.5", "avocet-main:U23.6"))),
                ("avocet-main:U17.11", "avocet-main:U20.11")),
            Bit(("avocet-video:RN3",), (2000.0,), "avocet-video:U2.7",
                (("avocet-video:U2.7", ("avocet-video:U2.6",)), ("avocet-main:U23.4", ("avocet-main:U23.2", "avocet-main:U23.3"))),
                ("avocet-main:U17.12", "avocet-main:U20.12")),
        ),
        "blue": (
            Bit(("avocet-video:RN5",), (2000.0,), "avocet-video:U2.15",
                (("avocet-video:U2.15", ("avocet-video:U2.14",)), ("avocet-main:U24.12", ("avocet-main:U24.14", "avocet-main:U24.13"))),
                ("avocet-main:U18.9", "avocet-main:U21.9")),
            Bit(("avocet-video:RN5",), (2000.0,), "avocet-video:U2.12",
                (("avocet-video:U2.12", ("avocet-video:U2.13",)), ("avocet-main:U24.9", ("avocet-main:U24.11", "avocet-main:U24.10"))),
                ("avocet-main:U18.10", "avocet-main:U21.10")),
            Bit(("avocet-video:RN5",), (2000.0,), "avocet-video:U1.15",
                (("avocet-video:U1.15", ("avocet-video:U1.14",)), ("avocet-main:U24.7", ("avocet-main:U24.5", "avocet-main:U24.6"))),
                ("avocet-main:U18.11", "avocet-main:U21.11")),
            Bit(("avocet-video:RN5",), (2000.0,), "avocet-video:U1.12",
                (("avocet-video:U1.12", ("avocet-video:U1.13",)), ("avocet-main:U24.4", ("avocet-main:U24.2", "avocet-main:U24.3"))),
                ("avocet-main:U18.12", "avocet-main:U21.12")),
        ),
    },
}
