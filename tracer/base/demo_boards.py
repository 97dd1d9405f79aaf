"""The demo boards that come with the program: our own inventions, drawn for it."""

from __future__ import annotations

from dataclasses import dataclass

from tracer.base.data_folder import data_folder

__all__ = ["DEMOS", "Demo", "demo_files"]


@dataclass(frozen=True, slots=True)
class Demo:
    """A demo board: the name of its folder and what is on it, the files that trace it (NAME=FILE each where there are
    several boards), and the cables between these.
    """

    name: str
    what: str
    files: tuple[str, ...]
    joins: tuple[str, ...] = ()

    @property
    def traced_by(self) -> str:
        """The words behind ``rgbroots trace``, in the board's folder."""
        return " ".join((*self.files, *(word for join in self.joins for word in ("--join", join))))


DEMOS = (
    Demo("dunlin", "12 bits: two palette RAMs, latches, a 56-way edge connector", ("dunlin.net",)),
    Demo("wren", "8 bits: one colour PROM, wired straight to its resistors", ("wren.net",)),
    Demo(
        "plover", "15 bits: palette RAMs, registers, emitter followers; seven sheets", ("plover.kicad_sch",)
    ),
    Demo(
        "avocet",
        "12 bits: two boards on a ribbon; PROMs, multiplexers, R-2R ladders",
        ("A=avocet-main.net", "B=avocet-video.net"),
        ("A:J3=B:J1",),
    ),
)


def demo_files(demo: Demo) -> dict[str, bytes]:
    """The files of a board's folder, by name."""
    folder = data_folder("netlists") / demo.name
    return {file.name: file.read_bytes() for file in sorted(folder.iterdir(), key=lambda file: file.name)}
