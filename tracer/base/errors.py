"""The whole error family, tree at the top.

TracerError                 something a person can mend
  NetlistError              a file cannot be read as a netlist
  PartDataError             a part type in a data file is wrong
  PinNotFoundError          a part, pin or net that was named does not exist
  ColourPinError            no colour pin found, or several candidates
  MapError                  a saved map cannot be read
  DumpError                 the contents of a memory cannot be read, or do not fit it
  PaletteError              the board does not show colours by the contents of memories
  EmitError                 an output cannot be written
  UsageError                the command line contradicts itself
InternalError               our own bug

Each error knows what is wrong, where (file, line, column, counted from 1) and
what to do about it; the facts are fields, the sentence is built from them in
the form ``file:line:column: what`` that compilers print (GNU Coding Standards,
"Formatting Error Messages").
"""

from __future__ import annotations

from tracer.base.visible import shortened, visible

__all__ = [
    "ColourPinError",
    "DumpError",
    "EmitError",
    "InternalError",
    "MapError",
    "NetlistError",
    "PaletteError",
    "PartDataError",
    "PinNotFoundError",
    "TracerError",
    "UsageError",
    "caret_excerpt",
]

#: Longest sentence that an error shows: a name in it may have any length.
LONGEST_SENTENCE = 600

#: Further mistakes of one file that are shown; a screen has 24 lines.
MOST_OTHERS = 19

#: Longest stretch of a source line that an error shows: what fits under a terminal of 80 columns.
EXCERPT_WIDTH = 72


def caret_excerpt(line: str, column: int) -> str:
    """Return `line` cut to the terminal's width with a caret under `column` (from 1).

    >>> print(caret_excerpt('(net (code 31) oops', 16))
    (net (code 31) oops
                   ^
    """
    start = max(0, column - 1 - EXCERPT_WIDTH // 2) if len(line) > EXCERPT_WIDTH else 0
    shown = "".join(c if c.isprintable() else " " for c in line[start : start + EXCERPT_WIDTH])
    return f"{shown}\n{' ' * (column - 1 - start)}^"


class TracerError(Exception):
    """A mistake that a person can mend; the base of the family.

    Parameters
    ----------
    what : str
        One sentence: what is wrong.
    fix : str, optional
        One sentence: what to do.
    file : str, optional
        Name of the file, as the user gave it.
    line, column : int, optional
        Position in the file, counted from 1.
    excerpt : str, optional
        The line with a caret, from `caret_excerpt`.

    Attributes
    ----------
    others : tuple of TracerError
        Further mistakes that the same reading found; what to do is said once for all.
    """

    others: tuple[TracerError, ...] = ()

    def __init__(
        self,
        what: str,
        *,
        fix: str | None = None,
        file: str | None = None,
        line: int | None = None,
        column: int | None = None,
        excerpt: str | None = None,
    ) -> None:
        super().__init__(what)
        self.what, self.fix = what, fix
        self.file, self.line, self.column = file, line, column
        self.excerpt = excerpt

    @property
    def where(self) -> str:
        """``file:line:column`` as far as known, else the empty string."""
        if self.file is None:
            return ""
        return ":".join(str(x) for x in (self.file, self.line, self.column) if x is not None)

    def _head(self) -> str:
        what = shortened(visible(self.what), LONGEST_SENTENCE)
        return f"{shortened(visible(self.where), LONGEST_SENTENCE)}: {what}" if self.where else what

    def __str__(self) -> str:
        lines = [self._head()]
        if self.excerpt:
            lines += ["    " + visible(row) for row in self.excerpt.split("\n")]
        lines += [other._head() for other in self.others[:MOST_OTHERS]]
        if len(self.others) > MOST_OTHERS:
            lines.append(f"and {len(self.others) - MOST_OTHERS:,} more")
        if self.fix:
            lines.append(f"fix: {shortened(visible(self.fix), LONGEST_SENTENCE)}")
        return "\n".join(lines)


class NetlistError(TracerError):
    """A file cannot be read as a netlist. Nothing of it was used."""


class PartDataError(TracerError):
    """A part type in a data file contradicts itself or lacks something."""


class PinNotFoundError(TracerError):
    """A part, pin or net that somebody named is not on the board."""


class ColourPinError(TracerError):
    """No red, green and blue pins were found, or more than one set fits."""


class MapError(TracerError):
    """A saved map is not in the form this program writes."""


class DumpError(TracerError):
    """The contents of a memory cannot be read, or do not fit the part."""


class PaletteError(TracerError):
    """The colours of the board do not follow from the contents of its memories."""


class EmitError(TracerError):
    """An output cannot be made or written."""


class UsageError(TracerError):
    """Options that do not go together, or a value in the wrong form."""


class InternalError(Exception):
    """Our own bug: a state the program holds to be impossible."""
