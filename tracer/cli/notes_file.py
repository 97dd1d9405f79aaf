"""A notes file that grows by answers: each is added at once, and can be taken back.

Every change writes the whole file beside itself and puts it in its place: at any moment the file is whole.
"""

from __future__ import annotations

from pathlib import Path

from tracer.base.write import write_whole
from tracer.beeps.facts import Facts
from tracer.beeps.note_lines import with_answer, without_last
from tracer.importers import read_netlist
from tracer.importers.text import decode, read_bytes
from tracer.netlist.board import Netlist

__all__ = ["NotesFile"]


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
        known = self.netlist().notes.touches if facts.struck else ()
        grown, added = with_answer(lines, facts, known)
        self._write(grown, end)
        return added

    def undo(self) -> list[str]:
        """Take the last answer back; gives its lines, none where there is none."""
        lines, end = self._lines()
        kept, gone = without_last(lines)
        if gone:
            self._write(kept, end)
        return gone

    def _lines(self) -> tuple[list[str], str]:
        data = read_bytes(self.path)
        # In UTF-16, a line end is four bytes; such a file goes on as UTF-8.
        end = "\r\n" if b"\r\n" in data else "\n"
        return decode(data, self.named)[0].rstrip("\n").split("\n"), end

    def _write(self, lines: list[str], end: str) -> None:
        write_whole(self.path, end.join(lines) + end)
