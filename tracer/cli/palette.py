"""The command `palette`: the colours that dumps show."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

from tracer.base.errors import PaletteError, UsageError
from tracer.base.write import write_whole
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import is_coloured, working
from tracer.cli.tracing import trace_board
from tracer.levels.codes import compute_levels
from tracer.palette.compare import compare_contents
from tracer.palette.contents import contents_of, contents_told
from tracer.palette.make import PaletteMaker
from tracer.palette.palettes import PALETTE_FORMS, emit_palette
from tracer.palette.search import find_colour, parse_colour
from tracer.palette.text import palette_as_text

__all__ = ["run"]


def run(args: argparse.Namespace) -> int:
    """Show the palette; 0 when every entry's colour is known."""
    target = Path(args.output) if args.output else None
    if target and target.suffix.lower() not in PALETTE_FORMS:
        forms = ", ".join(f"{suffix} ({what})" for suffix, (_, what) in PALETTE_FORMS.items())
        raise UsageError(f"a palette cannot be written as {target.name}", fix=f"end the name in {forms}")
    asked = parse_colour(args.colour) if args.colour is not None else None
    told, told_other = contents_told("--contents", args.contents), contents_told("--other", args.other)
    traced = trace_board(args)
    contents = contents_of(traced, told, "--contents")
    other = contents_of(traced, told_other, "--other")
    with working("computing the palette"):
        levels = compute_levels(traced, (traced.bit_map.load_ohm,))
        try:
            maker = PaletteMaker(traced, levels, contents)
        except PaletteError as error:
            print(error, file=sys.stderr)
            return STOPPED
        palette = maker.palette()
        if asked is not None:
            palette = replace(palette, sought=find_colour(maker, asked, palette.entries))
        if other:
            further = tuple(f for dump in other.values() for f in dump.findings)
            palette = replace(
                palette,
                difference=compare_contents(maker, palette.entries, other),
                findings=tuple(dict.fromkeys((*palette.findings, *further))),
            )
    if target:
        with working(f"writing {target.name}"):
            write_whole(target, emit_palette(target.suffix.lower(), palette))
        print(f"wrote {target}", file=sys.stderr)
    if args.json:
        sys.stdout.write(str(emit_palette(".json", palette)))
    elif not target:
        sys.stdout.write(palette_as_text(palette, all_entries=args.all, coloured=is_coloured()))
    return (
        OK
        if traced.bit_map.is_complete and not any(f.code == "shades-by-weight" for f in palette.findings)
        else STOPPED
    )
