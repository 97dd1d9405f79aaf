"""Output stages as a SPICE deck that runs in ngspice as it stands.

Each bit has one source, a voltage of 0 or 1 that stands for its level; a
behavioural current makes the output from it: volts behind a resistance, one way
only where the chip is bipolar. The sources count through all codes in a
transient analysis, the lightest bit fastest, and the colours are printed.

Transistor and diode models are those the levels are computed with: IS 1e-14,
BF 100, BR 1, 27 C.
"""

from __future__ import annotations

from collections.abc import Sequence

from tracer.export.values import Deck, DeckDriver
from tracer.levels.drive_values import Hold

__all__ = ["CODE_SECONDS", "decks_as_spice"]

#: How long the deck holds one code.
CODE_SECONDS = 1e-6
#: What a coupling capacitor of unknown value is written as.
USUAL_COUPLING_FARAD = 100e-6
_MODELS = (
    ".model dgen d(is=1e-14 n=1)",
    ".model qnpn npn(is=1e-14 bf=100 br=1)",
    ".model qpnp pnp(is=1e-14 bf=100 br=1)",
    "* field-effect transistors are written as bipolar ones of very high gain",
    ".model qnmos npn(is=1e-14 bf=1e6 br=1e6)",
    ".model qpmos pnp(is=1e-14 bf=1e6 br=1e6)",
)


def decks_as_spice(board: str, decks: Sequence[Deck], codes: Sequence[int] | None = None) -> str:
    """The deck of a board.

    Parameters
    ----------
    board : str
    decks : sequence of Deck
    codes : sequence of int, optional
        One code a colour, held, for an operating point; without it the sources count through all codes.
    """
    lines = [f"* {_comment(board)}: output stages of its colours", *_MODELS]
    names = []
    for at, deck in enumerate(decks):
        writer = _Writer(deck, f"{_word(deck.colour)}_", None if codes is None else codes[at])
        lines += ["", *writer.lines()]
        names.append(writer.node(deck.out))
    most = max((sum(d.bit is not None for d in deck.drivers) for deck in decks), default=0)
    lines.append("")
    if codes is None:
        lines += [
            f".tran {CODE_SECONDS / 20:g} {CODE_SECONDS * 2**most:g}",
            f".print tran {' '.join(f'v({n})' for n in names)}",
        ]
    else:
        lines += [".op", f".print op {' '.join(f'v({n})' for n in names)}"]
    return "\n".join([*lines, ".end"]) + "\n"


#: Of an operational amplifier, where the deck has one.
OPEN_LOOP_GAIN = 1e6


class _Writer:
    """One colour; its nodes carry its name in front, so that the colours are circuits apart."""

    def __init__(self, deck: Deck, prefix: str, code: int | None) -> None:
        self.deck, self.prefix, self.code = deck, prefix, code
        self.nodes: dict[str, str] = {}

    def node(self, name: str) -> str:
        if self.deck.fixed.get(name) == 0.0:
            return "0"
        if name not in self.nodes:
            self.nodes[name] = (
                f"{self.prefix}out" if name == self.deck.out else f"{self.prefix}n{len(self.nodes) + 1}"
            )
        return self.nodes[name]

    def lines(self) -> list[str]:
        deck, p = self.deck, self.prefix
        body = []
        for i, r in enumerate(deck.network.resistors, 1):
            body.append(f"r{p}{i} {self.node(r.a)} {self.node(r.b)} {r.ohm:g} ; {_comment(r.part)}")
        for i, d in enumerate(deck.network.diodes, 1):
            body.append(f"d{p}{i} {self.node(d.anode)} {self.node(d.cathode)} dgen ; {_comment(d.part)}")
        for i, q in enumerate(deck.network.transistors, 1):
            legs = " ".join(self.node(n) for n in (q.collector, q.base, q.emitter))
            body.append(f"q{p}{i} {legs} q{q.polarity} ; {_comment(q.part)}")
        for i, a in enumerate(deck.network.amplifiers, 1):
            ends = (
                f"{self.node(a.plus)} 0 1"
                if a.minus == a.out
                else f"{self.node(a.plus)} {self.node(a.minus)} {OPEN_LOOP_GAIN:g}"
            )
            body.append(f"e{p}{i} {self.node(a.out)} 0 {ends} ; {_comment(a.part)}")
        for i, c in enumerate(deck.network.charged, 1):
            farad = deck.capacitors.get(c.part) or USUAL_COUPLING_FARAD
            body.append(f"c{p}{i} {self.node(c.a)} {self.node(c.b)} {farad:g} ; {_comment(c.part)}")
        for driver in deck.drivers:
            body += self._driver(driver, f"{p}{len(body)}")
        if deck.load_ohm is not None:
            loaded = (deck.out, *deck.also_loaded)
            body += [f"r{p}load{i} {self.node(n)} 0 {deck.load_ohm:g}" for i, n in enumerate(loaded, 1)]
        body += [
            f"v{p}rail{i} {self.node(name)} 0 dc {volts:g}"
            for i, (name, volts) in enumerate(deck.fixed.items(), 1)
            if volts != 0.0
        ]
        legend = [f"*   {node} = {_comment(name)}" for name, node in self.nodes.items()]
        return [f"* ---- {_comment(deck.colour)}: nodes and the nets they are", *legend, *body]

    def _driver(self, driver: DeckDriver, unique: str) -> list[str]:
        node, drive = self.node(driver.node), driver.drive
        level = f"{self.prefix}bit{driver.bit}" if driver.bit is not None else f"{self.prefix}held{unique}"
        what = "held" if driver.bit is None else f"bit {driver.bit}"
        lines = [f"* {_comment(driver.label)}, {what}", f"v{level} {level} 0 {self._source(driver)}"]
        plain = drive.high, drive.low
        if all(h is not None and h.ohm == 0.0 for h in plain):
            high, low = (h.volts for h in plain if h is not None)
            return [*lines, f"b{unique} {node} 0 v = {low:g} + {high - low:g} * v({level})"]
        high_amp, low_amp = (_amp(hold, node, up) for hold, up in ((drive.high, True), (drive.low, False)))
        return [*lines, f"b{unique} 0 {node} i = v({level}) > 0.5 ? {high_amp} : {low_amp}"]

    def _source(self, driver: DeckDriver) -> str:
        if driver.bit is None:
            return f"dc {driver.level}"
        if self.code is not None:
            return f"dc {self.code >> driver.bit & 1}"
        half = CODE_SECONDS * 2**driver.bit
        edge = CODE_SECONDS / 1000
        return f"pulse(0 1 {half:g} {edge:g} {edge:g} {half - edge:g} {2 * half:g})"


def _amp(hold: Hold | None, node: str, up: bool) -> str:
    """Current out of an output, as an expression of the volts at its node."""
    if hold is None:
        return "0"
    # An ideal source as a current: a milliohm is nothing beside any resistor of a stage.
    amp = f"({hold.volts:g} - v({node})) / {hold.ohm or 1e-3:g}"
    if not hold.one_way:
        return amp
    return f"max(0, {amp})" if up else f"min(0, {amp})"


def _word(text: str) -> str:
    return "".join(c if c.isascii() and c.isalnum() else "x" for c in text.lower()) or "x"


def _comment(text: str) -> str:
    """Text that cannot end its line or begin another statement."""
    return "".join(c if c.isprintable() else "?" for c in text)
