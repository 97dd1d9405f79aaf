"""Widths of letters, so that a card's layout is known before anything draws it.

The widths are those of DejaVu Sans and Bitstream Vera Sans (the same to the
thousandth of an em for the letters here), which Linux systems and the PDF
library bring along. Cards set them nine tenths as wide, like DejaVu's
condensed cut. Letters that are not in the table count as one em.
"""

from __future__ import annotations

__all__ = ["ELLIPSIS", "SQUEEZE", "fit", "width", "wrap"]

#: Letters are drawn this much narrower than the font has them.
SQUEEZE = 0.9

ELLIPSIS = "…"

_LETTERS = "".join(map(chr, (*range(32, 127), *range(160, 256)))) + "–—‘’“”•…≤≥ΩŒœŠšŽž€"
#: Thousandths of an em, in the order of `_LETTERS`.
_REGULAR = (
    "318 401 460 838 636 950 780 275 390 390 500 838 318 361 318 337 636 636 636 636 636 636 636 636 "
    "636 636 337 337 838 838 838 531 1000 684 686 698 770 632 575 775 752 295 295 656 557 863 748 787 "
    "603 787 695 635 611 732 684 989 685 611 685 390 337 390 838 500 500 613 635 550 635 615 352 635 "
    "634 278 278 579 278 974 634 612 635 635 411 521 392 634 592 818 592 592 525 636 337 636 838 318 "
    "401 636 636 636 636 337 500 500 1000 471 612 838 361 1000 500 500 838 401 401 500 636 636 318 "
    "500 401 471 612 969 969 969 531 684 684 684 684 684 684 974 698 632 632 632 632 295 295 295 295 "
    "775 748 787 787 787 787 787 838 787 732 732 732 732 611 605 630 613 613 613 613 613 613 982 550 "
    "615 615 615 615 278 278 278 278 612 634 612 612 612 612 612 838 612 634 634 634 634 592 635 592 "
    "500 1000 318 318 518 518 590 1000 838 838 764 1070 1023 635 521 685 525 636 "
)
_BOLD = (
    "348 456 521 838 696 1002 872 306 457 457 523 838 380 415 380 365 696 696 696 696 696 696 696 696 "
    "696 696 400 400 838 838 838 580 1000 774 762 734 830 683 683 821 837 372 372 775 637 995 837 850 "
    "733 850 770 720 682 812 774 1103 771 724 725 457 365 457 838 500 500 675 716 593 716 678 435 716 "
    "712 343 343 665 343 1042 712 687 716 716 493 595 478 712 652 924 645 652 582 712 365 712 838 348 "
    "456 696 696 636 696 365 500 500 1000 564 646 838 415 1000 500 500 838 438 438 500 736 636 380 "
    "500 438 564 646 1035 1035 1035 580 774 774 774 774 774 774 1085 734 683 683 683 683 372 372 372 "
    "372 838 837 850 850 850 850 850 838 850 812 812 812 812 724 738 719 675 675 675 675 675 675 1048 "
    "593 678 678 678 678 343 343 343 343 687 712 687 687 687 687 687 838 687 712 712 712 712 652 716 "
    "652 500 1000 380 380 657 657 639 1000 838 838 769 1167 1094 720 595 725 582 696 "
)
_EM = 1000
_WIDTHS = tuple(dict(zip(_LETTERS, map(int, numbers.split()), strict=True)) for numbers in (_REGULAR, _BOLD))


def width(text: str, size: float, bold: bool = False) -> float:
    """How wide a text of a size is, in the unit of the size.

    >>> round(width("U13", 10.0), 3)
    18.036
    """
    known = _WIDTHS[bold]
    return sum(known.get(c, _EM) for c in text) * size * SQUEEZE / _EM


def fit(text: str, room: float, size: float, bold: bool = False) -> str:
    """The text, cut with an ellipsis where it is wider than the room.

    >>> fit("VIDEO_DATA_OUT", 15.0, 3.0)
    'VIDEO_D…'
    """
    if width(text, size, bold) <= room:
        return text
    return text[: _fitting(text, room - width(ELLIPSIS, size, bold), size, bold)].rstrip() + ELLIPSIS


def _fitting(text: str, room: float, size: float, bold: bool) -> int:
    """How many letters of the text fit into the room."""
    known = _WIDTHS[bold]
    units, n = room * _EM / (size * SQUEEZE) + 1e-6, 0
    for n, letter in enumerate(text):
        units -= known.get(letter, _EM)
        if units < 0:
            return n
    return n + 1 if text else 0


def wrap(text: str, room: float, size: float, bold: bool = False) -> list[str]:
    """The text in lines of at most the room; a word wider than that is broken.

    >>> wrap("one two three", 12.0, 3.0)
    ['one two', 'three']
    """
    lines: list[str] = []
    line = ""
    for word in text.split():
        while (head := _fitting(word, room, size, bold)) < len(word) > 1:
            lines += [line] if line else []
            lines.append(word[: head or 1])
            line, word = "", word[head or 1 :]
        tried = f"{line} {word}" if line else word
        if line and width(tried, size, bold) > room:
            lines.append(line)
            tried = word
        line = tried
    return [*lines, line] if line or not lines else lines
