"""``python -m tracer.web build -o DIR`` builds the folder for a browser from a checkout; it is shown by ``rgbroots serve DIR``."""

from __future__ import annotations

import argparse
import shlex
import sys
from collections.abc import Sequence
from pathlib import Path

from tracer.base.errors import TracerError
from tracer.base.plain import write_what_streams_hold
from tracer.web.build import Built, build

__all__ = ["main"]

#: What it ends with, as all commands do: written; or a mistake, and what stood there is as it was.
_WRITTEN, _NOT_WRITTEN = 0, 2


def main(argv: Sequence[str] | None = None) -> int:
    """Run it; gives its exit code."""
    write_what_streams_hold()
    args = _parser().parse_args(argv)
    try:
        built = build(Path(args.output), _say)
    except TracerError as error:
        print(error, file=sys.stderr)
        return _NOT_WRITTEN
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return _NOT_WRITTEN
    print(_text(built, args.output))
    return _WRITTEN


def _say(what: str) -> None:
    if sys.stderr.isatty():
        print(f"{what} ...", file=sys.stderr)


def _text(built: Built, folder: str) -> str:
    """What was written, and what to type next."""
    rows = [(file.name, file.size, file.compressed) for file in built.files]
    rows.append((f"{len(rows)} files", built.size, built.compressed))
    width = max(len(name) for name, _, _ in rows)
    lines = [f"wrote {folder}, build {built.build}; bytes as they are, and compressed:\n"]
    lines += [f"  {name:<{width}}  {size:>11,}  {compressed:>11,}" for name, size, compressed in rows]
    lines.append(f"\nto see it:\n\n  rgbroots serve {shlex.quote(folder)}")
    return "\n".join(lines)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m tracer.web",
        description="Builds the tracer for a browser, as a folder of static files.",
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    one = commands.add_parser(
        "build",
        help="write the folder",
        description="Fetches the runtime and the packages by npm and pip, checks their hashes, and writes the folder.",
        epilog="Example: python -m tracer.web build -o site",
    )
    one.add_argument(
        "-o", "--output", required=True, metavar="DIR", help="write the folder there, or anew if it is there"
    )
    return parser


if __name__ == "__main__":
    sys.exit(main())
