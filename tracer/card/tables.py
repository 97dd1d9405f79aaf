"""The tables of a card: colour and bit -> resistor, latch leg, memory leg, weight, volts."""

from __future__ import annotations

from tracer.base.names import last_part, readable_name
from tracer.base.text import clean, leg
from tracer.base.units import format_ohm
from tracer.bitmap.model import Bit, Colour, Path
from tracer.card.blocks import Column, Row
from tracer.card.chip_values import LegMark
from tracer.card.refs import board_of, said_once
from tracer.card.values import BoardCard
from tracer.levels.leg_values import LegReading
from tracer.levels.values import ColourLevels, LoadLevels
from tracer.levels.words import ohms_text, volts_text

__all__ = [
    "bit_columns",
    "bit_legend",
    "bit_rows",
    "drivers_with_readings",
    "has_neighbours",
    "load_text",
]

#: More steps than this share a column.
_MOST_STEPS = 3


def load_text(ohm: float | None) -> str:
    """``75 ohm``, ``1k``, ``no load``."""
    if ohm is None:
        return "no load"
    return f"{ohm:g} ohm" if ohm < 1000 else format_ohm(ohm)


def _loads(card: BoardCard) -> list[float | None]:
    colours = card.levels.colours if card.levels else ()
    return [x.load_ohm for x in next((c.loads for c in colours if c.loads), ())]


def _n_steps(card: BoardCard) -> int:
    paths = [p for c in card.bit_map.colours for b in c.bits for p in _shown(b)]
    return min(max((len(p.steps) for p in paths), default=0), _MOST_STEPS)


def _shows_driver(card: BoardCard) -> bool:
    """Whether a driver stands in a column of its own: no path has steps, and drivers are not all sources."""
    return _n_steps(card) == 0 and any(
        not (shown := _shown(b))
        or (b.driver.part, b.driver.pin) != (shown[0].source.part, shown[0].source.pin)
        for c in card.bit_map.colours
        for b in c.bits
    )


def _shown(bit: Bit) -> list[Path]:
    """The paths to show, the main one first, without those that only write."""
    main = bit.main_path
    if main is None:
        return []
    return [main, *(p for p in bit.paths if p is not main and p.role != "write path")]


def bit_columns(card: BoardCard) -> list[Column]:
    """Columns of the table of bits."""
    n = _n_steps(card)
    does = {c.part: c.does for c in card.bit_map.chips}
    columns = [Column("bit"), Column("weight", True), Column("resistor", gives=True)]
    if _shows_driver(card):
        columns.append(Column("driver leg", gives=True))
    for i in range(n):
        words = {
            does.get(p.steps[i].part, p.steps[i].how)
            for c in card.bit_map.colours
            for b in c.bits
            for p in _shown(b)[:1]
            if len(p.steps) > i
        }
        word = words.pop() if len(words) == 1 else "chip"
        columns.append(Column(f"{word}\nout/in", gives=True))
    columns.append(Column(_source_head(card), gives=True))
    if _has_choice(card):
        columns.append(Column("when", gives=True))
    if _with_legs(card):
        columns += [Column(f"{level} V", True, over="driver reads") for level in ("low", "high")]
    if has_neighbours(card):
        columns.append(Column("board off, to\nnext bit's leg", True))
    loads = _loads(card)
    columns += [Column(load_text(x), True, over="alone, V") for x in loads]
    return columns


def _drivers(card: BoardCard) -> set[tuple[str, str]]:
    return {(b.driver.part, b.driver.pin) for c in card.bit_map.colours for b in c.bits}


def _with_legs(card: BoardCard) -> bool:
    drivers = _drivers(card)
    return any((r.part, r.pin) in drivers and (r.low or r.high) for r in card.readings)


def drivers_with_readings(card: BoardCard) -> set[tuple[str, str]]:
    """Part and pin of the drivers, where the table of bits shows what they read."""
    return _drivers(card) if _with_legs(card) else set()


def has_neighbours(card: BoardCard) -> bool:
    """Whether the ohms from leg to leg are known."""
    drivers = _drivers(card)
    return any((r.part, r.pin) in drivers and r.to_neighbour for r in card.readings)


def _source_head(card: BoardCard) -> str:
    sources = [p.source for c in card.bit_map.colours for b in c.bits for p in _shown(b)[:1]]
    if sources and all(s.is_memory for s in sources):
        return "memory leg"
    return "source" if any(s.is_memory for s in sources) else "the way ends at"


def bit_legend(card: BoardCard) -> str:
    """What the columns are that do not say it themselves."""
    words = []
    if _n_steps(card):
        words.append("out/in: legs the bit leaves and enters by.")
    if _loads(card):
        words.append("Alone: volts with only this bit on.")
    if has_neighbours(card):
        words.append("Board off: chips of the path out, no monitor.")
    return " ".join(words)


def bit_rows(card: BoardCard) -> list[Row]:
    """A line for each colour, then its bits, heaviest first; other paths of a bit under it."""
    readings = {(r.part, r.pin): r for r in card.readings}
    rows = []
    for colour in card.bit_map.colours:
        levels = card.levels.of(colour.name) if card.levels else None
        rows.append(Row(over=clean(_colour_line(colour, levels))))
        for bit in colour.bits:
            mark = LegMark(colour.name, bit.bit)
            groups = _grouped(bit)
            rows.append(_bit_row(card, mark, bit, groups[0] if groups else [], readings, levels))
            rows += [_other_path(card, groups[0], paths) for paths in groups[1:]]
    return rows


def _bit_row(
    card: BoardCard,
    mark: LegMark,
    bit: Bit,
    paths: list[Path],
    readings: dict[tuple[str, str], LegReading],
    levels: ColourLevels | None,
) -> Row:
    weight = f"{100 * bit.weight:.1f} %"
    texts = [_resistors(bit), *_path_cells(card, paths, bit)]
    source = len(texts) + 1
    if _has_choice(card):
        texts.append(_condition(paths))
    cells: list[str | LegMark] = [mark, weight, *_boards_once(texts)]
    reading = readings.get((bit.driver.part, bit.driver.pin))
    if _with_legs(card):
        cells += [volts_text(reading.low), volts_text(reading.high)] if reading else ["", ""]
    if has_neighbours(card):
        cells.append(ohms_text(reading.to_neighbour, unknown="") if reading and reading.neighbour else "")
    loads = _loads(card)
    for i, _ in enumerate(loads):
        known = levels is not None and len(levels.loads) > i and 1 << bit.bit < len(levels.loads[i].codes)
        volts = levels.loads[i].codes[1 << bit.bit].volts if known and levels else None
        cells.append("" if volts is None else f"{volts:.2f}")
    return Row(tuple(cells), bold=tuple(range(3, source + 1)))


def _other_path(card: BoardCard, main: list[Path], paths: list[Path]) -> Row:
    """Another path of the bit above: what differs, and when."""
    same = _path_cells(card, main, None)
    own = _path_cells(card, paths, None)
    differs = [
        "" if a == b and i < len(own) - 1 else b for i, (a, b) in enumerate(zip(same, own, strict=True))
    ]
    texts = [*differs, _condition(paths)] if _has_choice(card) else differs
    cells: list[str | LegMark] = ["", "", "or", *_boards_once(texts)]
    source = 2 + len(differs)
    rest = len(bit_columns(card)) - len(cells)
    return Row((*cells, *[""] * rest), bold=tuple(range(3, source + 1)))


def _grouped(bit: Bit) -> list[list[Path]]:
    """The paths to show; those through the same parts under the same conditions are together.

    Such are the legs of a word that a shift register puts out one after another.
    """
    groups: dict[object, list[Path]] = {}
    for path in _shown(bit):
        key = (
            path.when,
            tuple((s.part, s.target_pin) for s in path.steps),
            path.source.part,
            path.source.kind,
        )
        groups.setdefault(key, []).append(path)
    return list(groups.values())


def _boards_once(cells: list[str]) -> list[str]:
    """Cells of a row in which a board's name (``main:``) is said once, until it changes."""
    board, found = "", []
    for cell in cells:
        own = board_of(cell.split(" ")[0])
        found.append(clean(cell.removeprefix(own) if own and own == board else cell))
        board = own or board
    return found


def _has_choice(card: BoardCard) -> bool:
    found = [_grouped(b) for c in card.bit_map.colours for b in c.bits]
    return any((len(w) > 1 and any(_condition(g) for g in w)) or any(len(g) > 1 for g in w) for w in found)


def _condition(paths: list[Path]) -> str:
    """``U22.1 low``; of legs that come one after another, that they do."""
    if not paths:
        return ""
    names = said_once(w.part for w in paths[0].when)
    words = [f"{n}.{w.pin} {'high' if w.level else 'low'}" for n, w in zip(names, paths[0].when, strict=True)]
    if len(paths) > 1:
        words.append("in turn" if any(s.how == "shift register" for s in paths[0].steps) else "any")
    return ", ".join(dict.fromkeys(words))


def _resistors(bit: Bit) -> str:
    """Resistors with their values; a board's name and a value once."""
    names = said_once(r.part for r in bit.resistors)
    values = [format_ohm(r.ohm) if r.ohm is not None else "?" for r in bit.resistors]
    return " + ".join(f"{n} {v}" for n, v in zip(names, values, strict=True)) or "-"


def _path_cells(card: BoardCard, paths: list[Path], bit: Bit | None) -> list[str]:
    """Cells from the driver to the source; of several paths the legs they enter and end at, one after another."""
    n = _n_steps(card)
    steps = list(paths[0].steps) if paths else []
    cells = []
    if _shows_driver(card):
        cells.append(leg(bit.driver.part, bit.driver.pin, bit.driver.name) if bit else "")
    for i in range(n):
        here = range(i, len(steps)) if i == n - 1 else range(i, min(i + 1, len(steps)))
        words = [_step_words(paths, at) for at in here]
        cells.append(", ".join(words) or (f"{bit.driver.part}.{bit.driver.pin}" if bit and i == 0 else "-"))
    if not paths:
        return [*cells, "not found"]
    source = paths[0].source
    if source.part and source.pin:
        ends = dict.fromkeys(f"{p.source.pin} {readable_name(p.source.name)}".strip() for p in paths)
        text = f"{source.part}.{', '.join(ends)}"
        return [*cells, text if source.is_memory else f"{text} ({source.kind})"]
    return [*cells, f"{last_part(source.name)} ({source.kind})" if source.name else source.kind]


def _step_words(paths: list[Path], at: int) -> str:
    step = paths[0].steps[at]
    entered = " ".join(dict.fromkeys(p.steps[at].source_pin for p in paths))
    return f"{step.part}.{step.target_pin}/{entered}{' inv.' if step.inverts else ''}"


def _colour_line(colour: Colour, levels: ColourLevels | None) -> str:
    pin = colour.pin
    where = f"{pin.part}.{pin.pin} {pin.name}".strip() if pin.part else f"net {last_part(pin.net)}"
    words = [f"{colour.name.upper()} {where}"]
    if colour.levels:
        words.append(f"{colour.levels} levels")
    for load in levels.loads if levels else ():
        words.append(_ends(load))
    if levels is not None and levels.coupled_by:
        words.append(f"behind {', '.join(levels.coupled_by)}: no DC")
    if not colour.bits:
        words.append("nothing drives it")
    return "; ".join(words)


def _ends(load: LoadLevels) -> str:
    dark, bright = load.codes[0].volts, load.codes[-1].volts
    return f"{load_text(load.load_ohm)}: all off {dark:.2f} V, all on {bright:.2f} V"
