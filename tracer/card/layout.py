"""Pages from blocks: columns that flow from page to page, strips never cut."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.card.metrics import wrap
from tracer.card.shapes import Block, Line, Look, Page, Shape, Strip, Text, moved

__all__ = ["PAPERS", "Flow"]

#: Width and height in millimetres: A4 of ISO 216, Letter of ANSI/ASME Y14.1.
PAPERS: dict[str, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}

#: Printers leave up to 6.4 mm of Letter blank (common practice, no source).
MARGIN = 8.5
#: Kept free at the foot for the line with the page's number.
_FOOT = 5.0
#: Texts that do not fit a page are not begun in less than this share of it.
_TORN = 0.3


class Flow:
    """Places bands of columns below one another and starts new pages where needed."""

    def __init__(self, paper: str, look: Look, running: str) -> None:
        self.paper_width, self.paper_height = PAPERS[paper]
        self.look, self.running = look, running
        self.pages: list[list[Shape]] = [[]]
        self.page, self.y = 0, MARGIN

    @property
    def room(self) -> float:
        """Width between the margins."""
        return self.paper_width - 2 * MARGIN

    @property
    def bottom(self) -> float:
        """Where a page is full."""
        return self.paper_height - MARGIN - _FOOT

    @property
    def used(self) -> float:
        """Share of the last page that is filled."""
        return (self.y - MARGIN) / (self.bottom - MARGIN)

    def band(self, columns: Sequence[tuple[float, float, Sequence[Block]]]) -> None:
        """Place columns (left end from the margin, width, blocks) side by side from here on."""
        ends = []
        for x, room, blocks in columns:
            at = (self.page, self.y)
            for block in blocks:
                at = self._block(block, MARGIN + x, room, at)
            ends.append(at)
        self.page, self.y = max(ends, default=(self.page, self.y))

    def whole(self, high: float) -> None:
        """Go on to a new page where so much does not fit on this one."""
        if self.y + high > self.bottom and self.y > MARGIN + 0.01:
            self.page, self.y = self.page + 1, MARGIN

    def two_columns(self, blocks: Sequence[Block], gap: float) -> None:
        """Sections in two columns of equal width, the first on the left, dealt so that they end about level."""
        heights = [s.height(self.look) + self.look.gap * 0.6 for s in blocks]
        rest = range(1, len(blocks))
        deals = [[0, *(i for i in rest if taken >> i & 1)] for taken in range(0, 2 ** len(blocks), 2)]

        def higher(lefts: Sequence[int]) -> float:
            own = sum(heights[i] for i in lefts)
            return max(own, sum(heights) - own)

        lefts = min(deals, key=higher)
        high = higher(lefts)
        left = self.bottom - self.y
        # Better begun on a new page than torn with a few lines on this one.
        if high > left and (high <= self.bottom - MARGIN and left < _TORN * (self.bottom - MARGIN)):
            self.page, self.y = self.page + 1, MARGIN
        column = (self.room - gap) / 2
        rights = [i for i in rest if i not in lefts]
        self.band(
            [
                (0.0, column, [blocks[i] for i in lefts]),
                (column + gap, column, [blocks[i] for i in rights]),
            ]
        )

    def finished(self) -> tuple[Page, ...]:
        """The pages with their foot lines."""
        done = []
        size = self.look.small
        for number, shapes in enumerate(self.pages, 1):
            y = self.paper_height - MARGIN
            words = f"{self.running}, page {number} of {len(self.pages)}"
            foot = (
                Line(((MARGIN, y - size - 0.9), (self.paper_width - MARGIN, y - size - 0.9)), 0.2),
                Text(MARGIN, y, words, size),
            )
            done.append(Page(self.paper_width, self.paper_height, (*shapes, *foot)))
        return tuple(done)

    def _block(self, block: Block, x: float, room: float, at: tuple[int, float]) -> tuple[int, float]:
        page, y = at
        pending = self._opening(block, block.title, room)
        strips = list(block.strips)
        placed = False
        while strips:
            group = _group(strips)
            if y + sum(s.height for s in (*pending, *group)) > self.bottom and y > MARGIN + 0.01:
                page, y = page + 1, MARGIN
                if placed:
                    pending = self._opening(block, block.title and f"{block.title} (continued)", room)
            for strip in (*pending, *group):
                y = self._put(strip, x, page, y)
            pending, placed = [], True
            strips = strips[len(group) :]
        return page, y + self.look.gap * 0.6

    def _opening(self, block: Block, title: str, room: float) -> list[Strip]:
        return [s for s in (self._title(title, room) if title else None, block.head) if s is not None]

    def _title(self, words: str, room: float) -> Strip:
        size = self.look.head
        lines = wrap(words, room, size, True)
        shapes = tuple(Text(0.0, size * (1.15 + 1.2 * n), line, size, True) for n, line in enumerate(lines))
        return Strip(size * (0.55 + 1.2 * len(lines)), shapes, True)

    def _put(self, strip: Strip, x: float, page: int, y: float) -> float:
        while len(self.pages) <= page:
            self.pages.append([])
        self.pages[page] += moved(strip.shapes, x, y)
        return y + strip.height


def _group(strips: Sequence[Strip]) -> list[Strip]:
    """The first strip with those it must not be parted from."""
    n = 1
    while n < len(strips) and strips[n - 1].with_next:
        n += 1
    return list(strips[:n])
