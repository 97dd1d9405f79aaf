"""The bench card: pages of shapes from a `BoardCard`, then SVG, HTML or PDF.

The largest letters are taken at which the card has no more pages than with the smallest.
"""

from __future__ import annotations

from dataclasses import replace

from tracer.base.once import once
from tracer.base.text import clean
from tracer.card.blocks import chip_rows, connector_strips, sentences, shown_pins, table
from tracer.card.chip_values import ConnectorView
from tracer.card.layout import PAPERS, Flow
from tracer.card.metrics import fit
from tracer.card.readings import reading_columns, reading_rows
from tracer.card.shapes import Block, Look, Page, Strip, Text
from tracer.card.tables import bit_columns, bit_legend, bit_rows
from tracer.card.values import BoardCard
from tracer.card.words import CAUTIONS, inputs_text, order_items, title_text, unknown_items

__all__ = ["PAPERS", "lay_out"]

#: Scales that are tried, largest first. At the last the letters of legs are 2.3 mm (6.5 points), of tables 2.5 mm, in
#: a face with a large x-height; smaller ones are not read at arm's length.
_SCALES = (1.25, 1.2, 1.15, 1.1, 1.05, 1.0, 0.96, 0.93, 0.9, 0.87)
#: No larger than this on several pages: larger letters only tear apart what belongs together.
_LONG = 1.0


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
    path = [c for c in card.chips if c.does != "write path"]
    gap = look.gap * 1.2
    column = (flow.room - gap) / 2
    texts = _texts(card, column, look)
    if path:
        title = "Chips seen from above, notch up"
        words = "Filled legs: on the way of the colours. Beside the others: what drives or holds them."
        beside = chip_rows(path, column, look)
        if len(beside) == 1:
            texts.insert(0, Block(title, (*_small(words, column, look), *beside)))
        else:
            strips = [*_small(words, flow.room, look), *chip_rows(path, flow.room, look)]
            flow.band([(0.0, flow.room, [Block(title, tuple(strips))])])
    flow.two_columns(texts, gap)
    return flow.finished()


def _title(card: BoardCard, room: float, look: Look) -> Block:
    size = look.title
    title = Strip(
        size * 1.25, (Text(0.0, size * 0.85, fit(title_text(card), room, size, True), size, True),), True
    )
    return Block("", (title, *sentences([("", inputs_text(card))], room, look, indent=0.001)))


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
    blocks = [Block("Where to probe, in this order", tuple(sentences(order_items(card), room, look)))]
    rows = reading_rows(card)
    if rows:
        head, strips = table(reading_columns(), rows, room, look)
        blocks.append(Block("Legs: what they read, board on", tuple(strips), head))
    blocks.append(Block("Before you probe", tuple(sentences([("!", c) for c in CAUTIONS], room, look))))
    writers = [c for c in card.chips if c.does == "write path"]
    items = unknown_items(card)
    if writers:
        names = ", ".join(f"{c.part} {c.marking}" + (f" at {c.place}" if c.place else "") for c in writers)
        items.append(
            ("-", clean(f"{names}: on the same lines, but only to write the memory; no picture passes them"))
        )
    blocks.append(Block("Not known, or worth knowing", tuple(sentences(items, room, look))))
    if card.evidence:
        noted = [
            ("-", clean(f"{e.kind} {' '.join(e.where)} {e.words}".replace("  ", " "))) for e in card.evidence
        ]
        blocks.append(Block("Noted so far", tuple(sentences(noted, room, look))))
    return blocks
