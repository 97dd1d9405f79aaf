"""The commands `levels` and `export`: volts, leg readings, and the output stage for other programs."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.cli.inputs import (
    add_command,
    add_inputs,
    add_pins,
    add_tracing,
    parse_load,
    trace_board,
    working,
)

TYPE_CHECKING = False
if TYPE_CHECKING:
    from tracer.cli.inputs import Commands
    from tracer.levels.drive_values import Override
    from tracer.levels.values import LevelTable

__all__ = ["add"]

OK, STOPPED = 0, 1
_FORMS = (".svg", ".csv", ".json")


def add(commands: Commands) -> None:
    """Add the commands to the parser."""
    levels = add_command(
        commands,
        "levels",
        "compute the volts at the connector for every code, and what each leg should read",
        "rgbroots levels dunlin.net --load 470 --tolerance 5%",
        _run_levels,
    )
    add_inputs(levels)
    add_pins(levels)
    levels.add_argument(
        "--load", action="append", default=[], metavar="OHM", help="one more load beside 75, 1k and none"
    )
    levels.add_argument(
        "--tolerance",
        default="0",
        metavar="5%",
        help="of the resistors: worst cases, and steps that can cross",
    )
    levels.add_argument("--high", metavar="V", help="high level of all outputs instead of the chips' own")
    levels.add_argument("--low", metavar="V", help="low level of all outputs")
    levels.add_argument("--source-ohm", metavar="OHM", help="output resistance of all outputs")
    levels.add_argument("--legs", action="store_true", help="print what each leg should read")
    levels.add_argument("--all", action="store_true", help="show every code, however many there are")
    levels.add_argument("-o", "--output", metavar="FILE", help=".svg (a plot), .csv or .json")
    levels.add_argument("--json", action="store_true", help="print the levels as JSON and nothing else")
    export = add_command(
        commands,
        "export",
        "write the walked circuit for other programs: a SPICE deck, GraphML or CSV",
        "rgbroots export dunlin.net --spice -o dunlin.cir",
        _run_export,
    )
    add_inputs(export)
    add_tracing(export)
    form = export.add_mutually_exclusive_group(required=True)
    form.add_argument("--spice", action="store_true", help="the output stages as a deck, one source a bit")
    form.add_argument("--graphml", action="store_true", help="legs and parts of the path as a graph")
    form.add_argument("--csv", action="store_true", help="the same graph, one row an edge")
    export.add_argument("-o", "--output", metavar="FILE", help="default: standard output")


def _run_levels(args: argparse.Namespace) -> int:
    from tracer.levels.codes import LOADS, compute_levels
    from tracer.levels.legs import read_legs

    target = Path(args.output) if args.output else None
    if target and target.suffix.lower() not in _FORMS:
        raise UsageError(
            f"levels cannot be written as {target.name}", fix=f"end the name in {', '.join(_FORMS)}"
        )
    loads = tuple(dict.fromkeys((*(parse_load(x) for x in args.load), *LOADS)))
    override, tolerance = _override(args), _share(args.tolerance)
    traced = trace_board(args, args.load[0] if args.load else "75")
    with working("computing the levels"):
        table = compute_levels(traced, loads, override=override, tolerance=tolerance)
    legs = read_legs(traced, loads[0])
    from tracer.levels.json import levels_as_json
    from tracer.levels.text import legs_as_text, levels_as_text

    if target:
        _write(target, table, levels_as_json(table, legs))
    if args.json:
        sys.stdout.write(levels_as_json(table, legs))
    elif args.legs:
        sys.stdout.write(legs_as_text(table.board, legs))
    elif not target:
        sys.stdout.write(levels_as_text(table, all_codes=args.all))
    return OK if table.colours and all(c.loads for c in table.colours) else STOPPED


def _write(target: Path, table: LevelTable, as_json: str) -> None:
    from tracer.base.write import write_whole
    from tracer.levels.csv import levels_as_csv
    from tracer.levels.plot import levels_as_svg

    form = target.suffix.lower()
    text = as_json if form == ".json" else levels_as_csv(table) if form == ".csv" else levels_as_svg(table)
    write_whole(target, text)
    print(f"wrote {target}", file=sys.stderr)


def _run_export(args: argparse.Namespace) -> int:
    from tracer.base.write import write_whole

    traced = trace_board(args)
    if args.spice:
        from tracer.export.deck import decks_of
        from tracer.export.spice import decks_as_spice

        text = decks_as_spice(traced.bit_map.name, decks_of(traced, parse_load(args.load)))
    else:
        from tracer.export.edges import walked_edges
        from tracer.export.walked_csv import edges_as_csv
        from tracer.export.walked_graphml import edges_as_graphml

        edges = walked_edges(traced)
        text = edges_as_graphml(traced.bit_map.name, edges) if args.graphml else edges_as_csv(edges)
    if args.output:
        write_whole(Path(args.output), text)
        print(f"wrote {args.output}", file=sys.stderr)
    else:
        sys.stdout.write(text)
    return OK if traced.bit_map.is_complete else STOPPED


def _override(args: argparse.Namespace) -> Override | None:
    from tracer.base.units import parse_ohm
    from tracer.levels.drive_values import Override

    ohm = None if args.source_ohm is None else parse_ohm(args.source_ohm)
    if args.source_ohm is not None and ohm is None:
        raise UsageError(f"--source-ohm {args.source_ohm} is no resistance", fix="write --source-ohm 50")
    high, low = _volts("--high", args.high), _volts("--low", args.low)
    if high is not None and low is not None and high <= low:
        raise UsageError(
            f"--high {high:g} is not above --low {low:g}", fix="a TTL output: --high 3.4 --low 0.3"
        )
    return None if high is None and low is None and ohm is None else Override(high, low, ohm)


def _volts(option: str, text: str | None) -> float | None:
    if text is None:
        return None
    try:
        volts = float(text.strip().rstrip("vV"))
    except ValueError:
        volts = float("nan")
    if not -20.0 <= volts <= 20.0:
        raise UsageError(f"{option} {text} is no level in volts", fix=f"write {option} 3.4")
    return volts


def _share(text: str) -> float:
    """``5%`` and ``0.05`` are the same; ``5`` is 5 per cent."""
    try:
        number = float(text.strip().rstrip("%"))
    except ValueError:
        number = float("nan")
    share = number / 100 if "%" in text or number >= 0.5 else number
    if not 0.0 <= share <= 0.5:
        raise UsageError(f"--tolerance {text} is not from 0% to 50%", fix="write --tolerance 5%")
    return share
