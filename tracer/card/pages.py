"""The bench card: pages of shapes from a `BoardCard`, then SVG, HTML or PDF.

Letters are 8 points or more; a card goes on to another page rather than to smaller ones. The largest letters are taken
at which it has no more pages than with the smallest.
"""

from __future__ import annotations

from dataclasses import replace

from tracer.base.once import once
from tracer.base.text import clean
from tracer.card.blocks import chip_rows, sentences, table
from tracer.card.board_words import COUNTING, donor_items, supply_columns, supply_rows
from tracer.card.chip_values import ConnectorView
from tracer.card.connector_block import connector_strips, shown_pins
from tracer.card.layout import PAPERS, Flow
from tracer.card.metrics import fit
from tracer.card.pen_blocks import blank_line, noted_rows, notes_block, step_block
from tracer.card.place_block import place_block
from tracer.card.readings import reading_columns, reading_rows
from tracer.card.record import cure_of, record_rows
from tracer.card.shapes import Block, Look, Page, Strip, Text
from tracer.card.tables import bit_columns, bit_legend, bit_rows
from tracer.card.values import BoardCard
from tracer.card.words import CAUTIONS, inputs_text, order_items, title_text, unknown_items

__all__ = ["PAPERS", "lay_out"]

#: Scales that are tried, largest first; at the last the smallest letters are `LEAST_LETTERS` high.
_SCALES = (1.25, 1.2, 1.15, 1.1, 1.05, 1.0)
#: No larger than this on several pages: larger letters only tear apart what belongs together.
_LONG = 1.0
#: Ruled rows of the record that are left to the pen.
_BLANK_ROWS = 4
#: A board drawing is no higher than this, in millimetres; and is drawn on what is left of a page from here on.
_MOST_HIGH, _LEAST_HIGH = 95.0, 60.0


@once
def lay_out(card: BoardCard, paper: str = "a4") -> tuple[Page, ...]:
    """The pages of a card.

    Parameters
    ----------
    card : BoardCard
    paper : {'a4', 'letter'}
    """
    best = _pages(card, paper, Look(_SCALES[-1]))
    for scale in _SCALES[:-1]:
        if len(best) > 1 and scale > _LONG:
            continue
        pages = _pages(card, paper, Look(scale))
        if len(pages) <= len(best):
            return pages
    return best


def _pages(card: BoardCard, paper: str, look: Look) -> tuple[Page, ...]:
    flow = Flow(paper, look, clean(f"{card.bit_map.name}: bench card"))
    flow.band([(0.0, flow.room, [_title(card, flow.room, look)])])
    for connector in card.connectors:
        if connector.part is not None:
            block = Block(_connector_title(connector), tuple(connector_strips(connector, flow.room, look)))
            flow.band([(0.0, flow.room, [block])])
    head, rows = table(bit_columns(card), bit_rows(card), flow.room, look)
    legend = bit_legend(card)
    rows += sentences([("", legend)], flow.room, look, indent=0.001) if legend else []
    bits = Block("Bits, heaviest first: from the connector back to the memory", tuple(rows), head)
    flow.band([(0.0, flow.room, [bits])])
    gap = look.gap * 1.2
    column = (flow.room - gap) / 2
    path = [c for c in card.chips if c.does != "write path"]
    if path:
        words = f"{COUNTING} Filled legs: on the way of the colours. Beside the others: what drives or holds them."
        strips = [*_small(words, flow.room, look), *chip_rows(path, flow.room, look)]
        flow.band([(0.0, flow.room, [Block("Chips seen from above, notch up", tuple(strips))])])
    if card.place is not None:
        left = flow.bottom - flow.y - look.head * 4
        high = min(left, _MOST_HIGH) if left >= _LEAST_HIGH else _MOST_HIGH
        n_colours = len(card.bit_map.colours)
        flow.band([(0.0, flow.room, [place_block(card.place, n_colours, flow.room, high, look)])])
    cautions = tuple(sentences([("!", c) for c in CAUTIONS], flow.room, look))
    flow.band([(0.0, flow.room, [Block("Before you probe", cautions)])])
    steps = step_block("Where to probe, in this order", order_items(card), flow.room, look)
    flow.whole(steps.height(look))
    flow.band([(0.0, flow.room, [steps])])
    flow.two_columns(_texts(card, column, look), gap)
    record = noted_rows("Repair record", record_rows(card), _BLANK_ROWS, cure_of(card), flow.room, look)
    flow.whole(record.height(look) + look.head * 1.75 + 2 * look.hand)
    flow.band([(0.0, flow.room, [record])])
    notes = notes_block("Notes", flow.bottom - flow.y, flow.room, look)
    if notes is not None:
        flow.band([(0.0, flow.room, [notes])])
    return flow.finished()


def _title(card: BoardCard, room: float, look: Look) -> Block:
    size = look.title
    title = Strip(
        size * 1.25, (Text(0.0, size * 0.85, fit(title_text(card), room, size, True), size, True),), True
    )
    inputs = sentences([("", inputs_text(card))], room, look, indent=0.001)
    return Block("", (title, blank_line(room, look), *inputs))


def _small(words: str, room: float, look: Look) -> list[Strip]:
    """A sentence that stays with what follows."""
    return [replace(s, with_next=True) for s in sentences([("", words)], room, look, indent=0.001)]


def _connector_title(connector: ConnectorView) -> str:
    place = f" at {connector.place}" if connector.place else ""
    kind = f", {connector.marking}" if connector.marking else ""
    whole = (
        "pins in the order of their numbers, not as they lie" if connector.is_whole else "only the pins known"
    )
    if len(shown_pins(connector)) < len(connector.pins):
        whole = f"{len(shown_pins(connector))} of {len(connector.pins)} pins: colours, sync and supply"
    return clean(f"Connector {connector.part}{kind}{place}: {whole}")


def _texts(card: BoardCard, room: float, look: Look) -> list[Block]:
    blocks = []
    rows = reading_rows(card)
    if rows:
        head, strips = table(reading_columns(), rows, room, look)
        blocks.append(Block("Legs: what they read, board on", tuple(strips), head))
    rows = supply_rows(card)
    if rows:
        head, strips = table(supply_columns(), rows, room, look)
        blocks.append(Block("Supply and clock", tuple(strips), head))
    items = donor_items(card)
    if items:
        blocks.append(Block("To try a swap with, from this board", tuple(sentences(items, room, look))))
    writers = [c for c in card.chips if c.does == "write path"]
    items = unknown_items(card)
    if writers:
        names = ", ".join(f"{c.part} {c.marking}" + (f" at {c.place}" if c.place else "") for c in writers)
        items.append(
            ("-", clean(f"{names}: on the same lines, but only to write the memory; no picture passes them"))
        )
    blocks.append(Block("Not known, or worth knowing", tuple(sentences(items, room, look))))
    return blocks
