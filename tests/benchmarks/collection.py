"""A collection of boards: a pool of processes against a process each, and whether both give the same maps."""

from __future__ import annotations

import multiprocessing
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

from tests.benchmarks.measure import Goal, Row, interleaved, ratios, seconds, spread
from tests.benchmarks.starting import ROOT

__all__ = ["collections"]

#: A pool must be worth it: by the clock a process each takes at least so many times as long.
POOL = Goal(at_least=3)
WORKERS = 2
#: Files that a worker is handed at a time.
CHUNK = 8

#: The recipe of the README, from the start of Python on, with the start method and the chunks to try.
SCRIPT = """\
import json, multiprocessing, sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from tracer import map_file

if __name__ == "__main__":
    boards, maps, method, chunk = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3], int(sys.argv[4])
    paths = sorted(boards.iterdir())
    def write(path, found):
        (maps / path.name).write_text(json.dumps(found, indent=2, ensure_ascii=False) + "\\n", encoding="utf-8")
    if method == "none":
        for path in paths:
            write(path, map_file(path))
    else:
        context = multiprocessing.get_context(method)
        with ProcessPoolExecutor(int(sys.argv[5]), mp_context=context) as pool:
            for path, found in zip(paths, pool.map(map_file, paths, chunksize=chunk)):
                write(path, found)
"""


def copy_boards(folder: Path, n: int) -> list[Path]:
    """So many copies of the demo boards that are one file each; each has a name of its own."""
    originals = [
        path
        for pattern in ("*/*.net", "*/*.csv", "[dw]*/*.kicad_sch")
        for path in sorted((ROOT / "netlists").glob(pattern))
    ]
    folder.mkdir()
    found = []
    for number in range(n):
        path = originals[number % len(originals)]
        found.append(Path(shutil.copy(path, folder / f"{path.stem}-{number:04}{path.suffix}")))
    return found


def process_each(paths: Sequence[Path], maps: Path) -> None:
    """As many at a time as the pool has workers."""

    def one(path: Path) -> None:
        words = [sys.executable, "-m", "tracer", "trace", str(path), "--json"]
        with (maps / path.name).open("wb") as file:
            subprocess.run(words, cwd=ROOT, stdout=file, stderr=subprocess.DEVNULL, check=False)

    with ThreadPoolExecutor(WORKERS) as threads:
        list(threads.map(one, paths))


def by_script(paths: Sequence[Path], maps: Path, method: str, chunk: int) -> None:
    """The recipe, its start included."""
    script = maps.with_name("recipe.py")
    script.write_text(SCRIPT, encoding="utf-8")
    words = [sys.executable, *map(str, (script, paths[0].parent, maps, method, chunk, WORKERS))]
    subprocess.run(words, check=True)


def collections(folder: Path, n: int, rounds: int) -> Iterator[Row]:
    """By turns; every way must give the same bytes."""
    paths = copy_boards(folder / "boards", n)
    methods = multiprocessing.get_all_start_methods()
    runs: dict[str, Callable[[Path], None]] = {
        "process each": partial(process_each, paths),
        "one process": partial(by_script, paths, method="none", chunk=1),
        **{f"pool, {method}": partial(by_script, paths, method=method, chunk=CHUNK) for method in methods},
        "pool, no chunks": partial(by_script, paths, method=methods[0], chunk=1),
    }
    places = {name: folder / name.replace(", ", "-").replace(" ", "-") for name in runs}
    for place in places.values():
        place.mkdir()
    taken = interleaved(
        {name: partial(run, places[name]) for name, run in runs.items()}, rounds, clock=time.perf_counter
    )
    made = {name: [(place / path.name).read_bytes() for path in paths] for name, place in places.items()}
    if not all(maps == made["process each"] and all(maps) for maps in made.values()):
        raise AssertionError("not all ways give the same maps")
    each = taken.pop("process each")
    for name, ours in taken.items():
        yield Row(
            f"{name}: a process each",
            seconds(spread(ours).median),
            seconds(spread(each).median),
            ratios(ours, each),
            goal=POOL if name.startswith("pool") else None,
        )
