"""A pulled plug loses nothing: the program is killed at any moment, the notes are whole, and the search goes on."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
from pathlib import Path

from tests.hostile import HANGS, PROGRAM
from tracer.beeps.bench import set_up
from tracer.beeps.choice import look
from tracer.beeps.facts import Answer, facts_of
from tracer.beeps.rehearsal import Meter, undrawn
from tracer.beeps.weights import load_wiring
from tracer.cli.notes_file import NotesFile
from tracer.export.netlists.notes import write
from tracer.importers import read_netlist
from tracer.parts.library import load_library

WREN = Path(__file__).parents[2] / "netlists" / "wren" / "wren.net"
#: More of them are run by hand: RGBROOTS_KILLS=200.
RUNS = int(os.environ.get("RGBROOTS_KILLS", "8"))

#: The moment is one of the program's processor time, however busy the machine is. Nobody handles this signal, so that
#: the system ends the process as it stands.
ENDS_AFTER = "import signal; signal.setitimer(signal.ITIMER_PROF, {})"


def answers(notes: NotesFile, meter: Meter) -> list[str]:
    """What a person would type from here on."""
    library, numbers = load_library(), load_wiring()
    copy = notes.path.with_suffix(".copy.notes")
    copy.write_bytes(notes.path.read_bytes())
    words: list[str] = []
    record = NotesFile(copy)
    while (choice := look(set_up(record.netlist(), library), numbers).choice) is not None:
        leg = meter.answer(choice).leg
        words.append("none" if leg is None else str(leg))
        record.add(facts_of(choice, Answer(leg)))
    copy.unlink()
    return words


def test_killed_at_any_moment_the_notes_are_whole_and_go_on(tmp_path: Path) -> None:
    library = load_library()
    netlist = read_netlist(WREN)
    truth = set_up(netlist, library)
    meter = Meter(truth.circuit, 50.0)
    start = write(undrawn(netlist, truth.colours))
    path = tmp_path / "wren.notes"
    path.write_text(start, encoding="utf-8")
    notes, chance, killed = NotesFile(path), random.Random(7), 0
    words = answers(notes, meter)
    before = 0
    for _ in range(RUNS):
        typed = "\n".join(words[before:]) + "\n"
        program = subprocess.run(
            [sys.executable, "-c", f"{ENDS_AFTER.format(chance.uniform(0.1, 1.6))}\n{PROGRAM}", "beep", str(path), "--ask"],
            input=typed, stdout=subprocess.DEVNULL, text=True, check=False, timeout=HANGS,
        )  # fmt: skip
        killed += program.returncode == -signal.SIGPROF
        text = path.read_text(encoding="utf-8")
        assert text.startswith(start)
        assert text.endswith("\n")
        done = max(
            (int(line.rsplit(" ", 1)[1]) for line in text.splitlines() if "# answer " in line), default=0
        )
        assert before <= done <= len(words)
        assert answers(notes, meter) == words[done:]
        before = done
        if done == len(words):
            path.write_text(start, encoding="utf-8")
            before = 0
    assert killed > RUNS // 2
    # Killed between writing and putting in place, it leaves what was written beside the notes, hidden, and nothing else.
    assert not [p for p in tmp_path.iterdir() if p != path and not p.name.startswith(".rgbroots-")]
