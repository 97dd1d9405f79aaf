"""The command `demo`: boards to try the program on, which come with it."""

from __future__ import annotations

import argparse
import shlex
import sys
from dataclasses import dataclass
from pathlib import Path

from tracer.base.data_folder import data_folder
from tracer.base.errors import EmitError
from tracer.base.write import make_folder, write_whole
from tracer.cli.exit_codes import OK

__all__ = ["DEMOS", "run"]


@dataclass(frozen=True)
class Demo:
    """A demo board: the name of its folder, what is on it, and the words that trace it there."""

    name: str
    what: str
    traced_by: str


DEMOS = (
    Demo("dunlin", "12 bits: two palette RAMs, latches, a 56-way edge connector", "dunlin.net"),
    Demo("wren", "8 bits: one colour PROM, wired straight to its resistors", "wren.net"),
    Demo(
        "plover", "15 bits: palette RAMs, registers, emitter followers; seven sheets",
        "plover.kicad_sch",
    ),
    Demo(
        "avocet", "12 bits: two boards on a ribbon; PROMs, multiplexers, R-2R ladders",
        "A=avocet-main.net B=avocet-video.net --join A:J3=B:J1",
    ),
)  # fmt: skip


def run(args: argparse.Namespace) -> int:
    """List the boards, or write them and say what to type next."""
    if args.output is None:
        print("demo boards, our own inventions; rgbroots demo -o DIR writes their files\n")
        print("\n".join(f"  {demo.name:<7} {demo.what}" for demo in DEMOS))
        return OK
    folder = Path(args.output)
    files = _files(folder)
    _refuse_others(files)
    for target, content in files.items():
        make_folder(target.parent)
        write_whole(target, content)
    print(f"wrote {len(files)} files in {folder}", file=sys.stderr)
    print(f"to try them:\n\n  cd {shlex.quote(str(folder / DEMOS[0].name))}")
    print(f"  rgbroots trace {DEMOS[0].traced_by} -o out\n\nor, each in its own folder:\n")
    print("\n".join(f"  rgbroots trace {demo.traced_by}" for demo in DEMOS[1:]))
    return OK


def _files(folder: Path) -> dict[Path, bytes]:
    """Where each file goes, and what stands in it."""
    return {
        folder / demo.name / file.name: file.read_bytes()
        for demo in DEMOS
        for file in sorted((data_folder("netlists") / demo.name).iterdir(), key=lambda file: file.name)
    }


def _refuse_others(files: dict[Path, bytes]) -> None:
    """Nothing is written where a file of that name holds something else.

    Raises
    ------
    EmitError
        One does.
    """
    for target, content in files.items():
        if target.exists() and not (target.is_file() and target.read_bytes() == content):
            raise EmitError(
                "it is there already, and differs from the demo board's; nothing was written",
                file=str(target),
                fix="name another folder with -o",
            )
