"""The command `levels`: volts at the connector by code, and what each leg should read."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.base.units import parse_ohm
from tracer.base.write import write_whole
from tracer.cli.exit_codes import OK, STOPPED
from tracer.cli.inputs import working
from tracer.cli.tracing import trace_board
from tracer.cli.values import load_told
from tracer.levels.codes import compute_levels, loads_of
from tracer.levels.csv import levels_as_csv
from tracer.levels.drive_values import Override
from tracer.levels.json import levels_as_json
from tracer.levels.legs import read_legs
from tracer.levels.plot import levels_as_svg
from tracer.levels.text import legs_as_text, levels_as_text
from tracer.levels.values import LevelTable

__all__ = ["run"]

_FORMS = (".svg", ".csv", ".json")


def run(args: argparse.Namespace) -> int:
    """Print or write the levels; 0 when every colour has some."""
    target = Path(args.output) if args.output else None
    if target and target.suffix.lower() not in _FORMS:
        raise UsageError(
            f"levels cannot be written as {target.name}", fix=f"end the name in {', '.join(_FORMS)}"
        )
    more = [load_told(x) for x in args.load[1:]]
    override, tolerance = _override(args), _share(args.tolerance)
    traced = trace_board(args)
    loads = loads_of(traced, *(x for x in more if x != "noted"))
    with working("computing the levels"):
        table = compute_levels(traced, loads, override=override, tolerance=tolerance)
        legs = read_legs(traced, loads[0])
    if target:
        with working(f"writing {target.name}"):
            _write(target, table, levels_as_json(table, legs))
    if args.json:
        sys.stdout.write(levels_as_json(table, legs))
    elif args.legs:
        sys.stdout.write(legs_as_text(table.board, legs))
    elif not target:
        sys.stdout.write(levels_as_text(table, all_codes=args.all))
    return OK if table.colours and all(c.loads for c in table.colours) else STOPPED


def _write(target: Path, table: LevelTable, as_json: str) -> None:
    form = target.suffix.lower()
    text = as_json if form == ".json" else levels_as_csv(table) if form == ".csv" else levels_as_svg(table)
    write_whole(target, text)
    print(f"wrote {target}", file=sys.stderr)


def _override(args: argparse.Namespace) -> Override | None:
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
