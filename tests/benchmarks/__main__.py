"""Run the benchmarks: ``python -m tests.benchmarks [CASE ..] [--quick] [--packages DIRECTORY]``.

Every figure is measured by turns with what it is compared with; the median counts, the smallest and the largest
stand below. Exit code 1 when a goal was missed.
"""

from __future__ import annotations

import argparse
import platform
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.benchmarks import browser, collection, growth, reading, solving, starting
from tests.benchmarks.measure import Row
from tests.benchmarks.packages import how_to_install, use_folder
from tests.benchmarks.table import HEAD, line, summary

#: Case -> rows, of (an empty folder, quick).
CASES: dict[str, Callable[[Path, bool], Iterator[Row]]] = {
    "netlist": lambda folder, quick: reading.kicad_netlists(folder, *_sized(quick, 1_500, 10_000)),
    "edif": lambda folder, quick: reading.edif_and_verilog(folder, *_sized(quick, 1_000, 10_000)),
    "schematic": lambda folder, quick: reading.schematics(folder, *_sized(quick, 500, 1_500)),
    "whole": lambda folder, quick: starting.whole_schematic(folder, *_sized(quick, 1_000, 3_550)),
    "forms": lambda folder, quick: reading.forms(folder, *_sized(quick, 1_500, 10_000)),
    "nodal": lambda _, quick: solving.nodal(2 if quick else 15),
    "start": lambda folder, quick: starting.commands(folder, 2 if quick else 15),
    "collection": lambda folder, quick: collection.collections(folder, *((8, 1) if quick else (400, 1))),
    "growth": lambda folder, quick: growth.growth(
        folder, (1_000, 10_000) if quick else (1_000, 10_000, 100_000, 1_000_000), 1 if quick else 3
    ),
    "browser": lambda folder, quick: browser.in_a_browser(folder, 1 if quick else 7),
}


def _sized(quick: bool, few: int, many: int) -> tuple[int, int]:
    """Pins and repeats."""
    return (few, 2) if quick else (many, 7)


def main(arguments: list[str] | None = None) -> int:
    """Run the cases and print the table."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.benchmarks",
        description="Measure the program against what people would use instead.",
    )
    parser.add_argument("cases", nargs="*", metavar="CASE", help=f"of {', '.join(CASES)} (default: all)")
    parser.add_argument("--quick", action="store_true", help="small and few: to see that all of it runs")
    parser.add_argument("--packages", type=Path, help="a folder with packages of others, see below")
    parser.epilog = "Packages to compare with: " + how_to_install().replace("\n", "; ")
    options = parser.parse_args(arguments)
    if unknown := set(options.cases) - set(CASES):
        parser.error(f"no case {', '.join(sorted(unknown))}; the cases are {', '.join(CASES)}")
    if options.packages:
        use_folder(options.packages)
    print(f"Python {platform.python_version()}, {platform.system()}, {platform.machine()}\n{HEAD}")
    rows: list[Row] = []
    for case in options.cases or CASES:
        with tempfile.TemporaryDirectory() as folder:
            for row in CASES[case](Path(folder), options.quick):
                rows.append(row)
                print(line(row), flush=True)
    print(summary(rows))
    if any(row.figure is None and row.remark.endswith("installed") for row in rows):
        print(f"to compare with all of them:\n{how_to_install()}")
    return 1 if any(row.verdict == "missed" for row in rows) else 0


if __name__ == "__main__":
    sys.exit(main())
