"""avocet: two boards on a ribbon; 4-4-4 bits from two banks of PROMs through multiplexers, R-2R ladders.

The main board holds the PROMs and multiplexers, the video board the latches and
ladders. The ribbon joins J3 of the main board to J1 of the video board, leg to leg.
"""

from __future__ import annotations

from tests.drawing.avocet_main import MUXES, avocet_main
from tests.drawing.avocet_video import LADDERS, avocet_video
from tests.drawing.design import Project, TrueBit

__all__ = ["JOIN", "avocet", "avocet_truth"]

#: Board and connector on each end of the ribbon.
JOIN = (("avocet-main", "J3"), ("avocet-video", "J1"))


def avocet() -> tuple[Project, Project]:
    """Both boards."""
    return avocet_main(), avocet_video()


def avocet_truth(main: Project, video: Project) -> dict[str, tuple[TrueBit, ...]]:
    """The map over both boards, references with their board in front."""
    found: dict[str, tuple[TrueBit, ...]] = {}
    for colour, bits in video.truth.items():
        whole: list[TrueBit] = []
        for n, bit in zip(sorted(LADDERS[colour], reverse=True), bits, strict=True):
            mux, proms = MUXES[colour]
            section = n + 1
            legs = [main.root.leg(f"{mux}.{section}{letter}") for letter in "AB"]
            sources = [main.root.leg(f"{prom}.O{section}") for prom in proms]
            step = (
                f"avocet-main:{main.root.leg(f'{mux}.{section}Y')}",
                tuple(f"avocet-main:{leg}" for leg in legs),
            )
            near = tuple(
                (f"avocet-video:{out}", tuple(f"avocet-video:{x}" for x in into)) for out, into in bit.path
            )
            whole.append(
                TrueBit(
                    tuple(f"avocet-video:{r}" for r in bit.resistors),
                    bit.ohm,
                    f"avocet-video:{bit.driver}",
                    (*near, step),
                    tuple(f"avocet-main:{s}" for s in sources),
                )
            )
        found[colour] = tuple(whole)
    return found
