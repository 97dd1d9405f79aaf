"""A notes file that grows by answers: each is added at once, and can be taken back.

Every change writes the whole file beside itself and puts it in its place: at any moment the file is whole. Lines that
an answer added end in a comment with its number, so that `undo` finds them after the program was started anew. A line
is never deleted: it becomes a comment that says why it no longer counts.
"""

from __future__ import annotations

import re
from itertools import groupby
from pathlib import Path

from tracer.base.write import write_whole
from tracer.beeps.facts import Facts, speak_of_the_same
from tracer.importers import read_netlist
from tracer.importers.text import decode, read_bytes
from tracer.netlist.board import Netlist, PinRef, Touch
from tracer.netlist.note_words import pin_word

__all__ = ["NotesFile", "fact_lines"]

_NUMBER = re.compile(r"# answer (\d{1,9})$")
_STRUCK = re.compile(r"# struck by answer (\d{1,9}): (.*)$")
#: In any comment: a line that was taken back keeps its number.
_ANY_NUMBER = re.compile(r"answer (\d{1,9})\b")


def fact_lines(facts: Facts) -> list[str]:
    """What facts are in the language of the notes, a line each; legs of one part that do not beep on one line."""
    lines = []
    quiet = [t for t in facts.touches if not t.heard]
    for (held, part), touches in groupby(quiet, key=lambda t: (t.pins[0], t.pins[1].part)):
        legs = [t.pins[1] for t in touches]
        words = pin_word(legs[0]) if len(legs) == 1 else _legs(part, legs)
        lines.append(f"{pin_word(held)} != {words}")
    lines += [" = ".join(pin_word(pin) for pin in t.pins) for t in facts.touches if t.heard]
    lines += [f"measured {pin_word(a)} to {pin_word(b)} {ohm:g} ohm" for a, b, ohm in facts.measured]
    return lines


def _legs(part: str, legs: list[PinRef]) -> str:
    words = [pin_word(leg) for leg in legs]
    start = pin_word(PinRef(part, "1"))[:-1]
    return f"{start}[{' '.join(word[len(start) :] for word in words)}]"


class NotesFile:
    """The notes of one board on disk.

    Parameters
    ----------
    path : Path
        Read anew at each change, so that lines typed meanwhile in an editor are kept.
    """

    def __init__(self, path: Path) -> None:
        self.path = path.resolve() if path.is_symlink() else path
        self.named = str(path)

    def netlist(self) -> Netlist:
        """The board as the file has it now.

        Raises
        ------
        NetlistError
            A line is no statement.
        """
        return read_netlist(self.path)

    def add(self, facts: Facts) -> list[str]:
        """Add what an answer says; gives the lines that were added.

        Raises
        ------
        EmitError
            The file cannot be written; it is as it was.
        """
        lines, end = self._lines()
        number = 1 + max((int(m[1]) for line in lines if (m := _ANY_NUMBER.search(line))), default=0)
        lines, kept = self._strike(lines, facts.struck, number)
        added = [f"{line}  # answer {number}" for line in (*kept, *fact_lines(facts))]
        self._write([*lines, *added], end)
        return added

    def undo(self) -> list[str]:
        """Take the last answer back; gives its lines, none where there is none."""
        lines, end = self._lines()
        numbers = [int(m[1]) for line in lines if not line.startswith("#") and (m := _NUMBER.search(line))]
        if not numbers:
            return []
        last = max(numbers)
        gone, kept = [], []
        for line in lines:
            struck = _STRUCK.match(line)
            if struck and int(struck[1]) == last:
                kept.append(struck[2])
            elif not line.startswith("#") and (m := _NUMBER.search(line)) and int(m[1]) == last:
                gone.append(line)
                kept.append(f"# undone: {line}")
            else:
                kept.append(line)
        self._write(kept, end)
        return gone

    def _strike(
        self, lines: list[str], struck: tuple[Touch, ...], number: int
    ) -> tuple[list[str], list[str]]:
        """Turn lines that count no longer into comments; also gives lines for what else they had said."""
        kept: list[str] = []
        if not struck:
            return lines, kept
        said: dict[int, list[Touch]] = {}
        for touch in self.netlist().notes.touches:
            if touch.origin and touch.origin.line:
                said.setdefault(touch.origin.line, []).append(touch)
        for line, touches in said.items():
            rest = [t for t in touches if not any(speak_of_the_same(t, s) for s in struck)]
            if len(rest) < len(touches):
                lines[line - 1] = f"# struck by answer {number}: {lines[line - 1]}"
                kept += fact_lines(Facts(tuple(rest)))
        return lines, kept

    def _lines(self) -> tuple[list[str], str]:
        data = read_bytes(self.path)
        # In UTF-16, a line end is four bytes; such a file goes on as UTF-8.
        end = "\r\n" if b"\r\n" in data else "\n"
        return decode(data, self.named)[0].rstrip("\n").split("\n"), end

    def _write(self, lines: list[str], end: str) -> None:
        write_whole(self.path, end.join(lines) + end)
