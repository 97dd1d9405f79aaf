"""The text of a KiCad schematic -> its plain tree, without what says how it looks.

The text is loaded with kicad-skip's `loadTree`, which gives the plain tree; this is the only module that imports that
package. Its typed objects are not used: they misplace the pins of turned symbols and cannot follow sheets (measured;
`DEVELOPERS.md`).
"""

from __future__ import annotations

import io
import re
import warnings
from pathlib import Path

from tracer.base.errors import NetlistError
from tracer.importers.sexpr import Expr, parse_sexpr

__all__ = ["load_tree"]


def load_tree(path: Path, text: str) -> Expr:
    """Load a text.

    Raises
    ------
    NetlistError
        Its brackets do not match, or the package cannot load it.
    """
    with warnings.catch_warnings():
        # The package has an invalid escape in a string, which Python 3.12 and later warn of.
        warnings.simplefilter("ignore")
        from skip.sexp import util
    # It opens files in the machine's own encoding, while KiCad writes UTF-8 everywhere; what it opens is our text.
    util.open = _open_text
    try:
        tree = util.loadTree(_without_looks(text))
        return _to_expr(tree)
    except (Exception, RecursionError):
        # Our own reader finds the place; what it can read was a fault of the loader's.
        parse_sexpr(text, str(path))
        raise NetlistError(
            "the schematic could not be loaded",
            file=str(path),
            fix="open and save it in KiCad, then try again",
        ) from None


def _open_text(text: str, _mode: str) -> io.StringIO:
    return io.StringIO(text)


#: Lists that hold only looks; leaving them out halves the tree.
_LOOKS = frozenset(
    {"effects", "stroke", "fill", "image", "text", "text_box", "polyline", "rectangle", "circle", "arc"}
)

_FLAT = r"[^()\"]*+"
_NESTED = rf"{_FLAT}(?:\({_FLAT}(?:\({_FLAT}(?:\({_FLAT}\){_FLAT})*+\){_FLAT})*+\){_FLAT})*+"
#: A line's indent, or a list of looks that begins a line, holds no string and is at most four deep.
_LOOKS_OR_INDENT = re.compile(rf"\n[ \t]*+\((?:{'|'.join(sorted(_LOOKS))})(?=[\s()]){_NESTED}\)|\n[ \t]+")
#: A string that its line does not close.
_OPEN_STRING = re.compile(r'^[^"\n]*+(?:"(?:[^"\\\n]|\\.)*+"[^"\n]*+)*+"', re.MULTILINE)


def _without_looks(text: str) -> str:
    """A schematic that holds the same but for looks: the loader takes half as long for it (measured).

    A text in which a string runs over several lines, which KiCad writes none of, is left as it is: there the start
    of a line does not tell what is a list.
    """
    return text if _OPEN_STRING.search(text) else _LOOKS_OR_INDENT.sub("\n", text)


def _to_expr(tree: object) -> Expr:
    out = Expr(-1)
    if not isinstance(tree, list):
        return out
    for item in tree:
        if isinstance(item, list):
            head = item[0] if item else None
            if head is not None and not isinstance(head, list) and str(head) in _LOOKS:
                continue
            out.append(_to_expr(item))
        elif item is True:
            out.append("t")
        else:
            out.append(str(item))
    return out
