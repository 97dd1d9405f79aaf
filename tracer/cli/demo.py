"""The command `demo`: boards to try the program on, which come with it."""

from __future__ import annotations

import argparse
import shlex
import sys
from pathlib import Path

from tracer.base.demo_boards import DEMOS, demo_files
from tracer.base.errors import EmitError
from tracer.base.write import make_folder, write_whole
from tracer.cli.exit_codes import OK

__all__ = ["run"]


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
        folder / demo.name / name: content for demo in DEMOS for name, content in demo_files(demo).items()
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
