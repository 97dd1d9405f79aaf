"""All faults that the path of a board can have, with their priors.

A share of the failed parts goes to each kind of part (`faults.toml`); within it
every part of the path has the same chance, within a part its ways to fail, and
within a way the legs. What the path has none of counts as outside.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from tracer.base.names import last_part, natural_key
from tracer.base.units import format_ohm
from tracer.levels.leg_paths import LegPath, PathLeg, leg_paths, open_reads
from tracer.levels.loaded_stage import loaded_stage
from tracer.stage.model import Stage
from tracer.suspects.fault import Hit, PathFault
from tracer.suspects.priors import Priors
from tracer.tracing.pipeline import Traced

__all__ = ["list_faults"]

_MEMORY_SHARE = {"ram": "ram", "rom": "rom", "prom": "prom", "eprom": "eprom"}
_OUTSIDE_KINDS = ("oscillator", "cpu", "outside")
#: A resistor that drifted or was fitted wrong, as a factor.
WRONG_VALUE = 10.0

#: A chip that makes a clock or blanking for several chips of the path weighs this much beside one of the path: of its
#: ways to fail only those that stop this one output count. Guess.
SHARED_CONTROL = 0.4

Key = tuple[str, int]


def list_faults(traced: Traced, priors: Priors) -> tuple[PathFault, ...]:
    """Every fault of the path, priors adding up to 1; the last is "not in this path"."""
    listing = _Listing(traced)
    groups: dict[str, list[tuple[float, list[PathFault]]]] = {}
    for part in listing.chips:
        share = listing.share_of(part)
        groups.setdefault(share, []).append((1.0, list(listing.chip(part, priors))))
    for faults in listing.shared_controls(priors):
        groups.setdefault("logic", []).append((SHARED_CONTROL, faults))
    groups["interconnect"] = [(1.0, list(listing.interconnect(priors)))]
    groups["passive"] = [(1.0, list(listing.passives(priors)))]
    found: list[PathFault] = []
    outside = sum(priors("share", kind) for kind in _OUTSIDE_KINDS)
    for share, weight in priors.tables["share"].items():
        if share in _OUTSIDE_KINDS:
            continue
        parts = [(w, faults) for w, faults in groups.get(share, []) if faults]
        if not parts:
            outside += weight
            continue
        total = sum(w for w, _ in parts)
        for w, faults in parts:
            inside = sum(f.prior for f in faults) or 1.0
            found += [replace(f, prior=weight * w / total * f.prior / inside) for f in faults]
    found.append(PathFault("not in this path", "outside", "", (), outside))
    total = sum(f.prior for f in found)
    return tuple(replace(f, prior=f.prior / total) for f in found)


class _Listing:
    """The parts of the path, and their faults with priors that are relative within a part."""

    def __init__(self, traced: Traced) -> None:
        self.traced, self.circuit = traced, traced.circuit
        self.ways = leg_paths(traced)
        self.legs: dict[tuple[str, str], list[tuple[LegPath, int, PathLeg]]] = {}
        for way in self.ways:
            for at, leg in enumerate(way.legs):
                self.legs.setdefault((leg.part, leg.pin), []).append((way, at, leg))
        self.chips = sorted({part for part, _ in self.legs}, key=natural_key)
        self.memories = {m.part for m in traced.bit_map.index}

    def share_of(self, part: str) -> str:
        kind = self.circuit.identified[part].kind
        if kind in _MEMORY_SHARE:
            return _MEMORY_SHARE[kind]
        return {
            "logic array": "pal",
            "custom": "custom",
            "unknown": "custom",
            "cpu": "custom",
            "dac": "custom",
        }.get(kind, "logic")

    def name(self, part: str, pin: str) -> str:
        leg = self.circuit.identified[part].type.by_number.get(pin)
        return f"{part}.{pin} {leg.name}" if leg and leg.name and leg.name != pin else f"{part}.{pin}"

    def legs_of(self, part: str, *, outputs: bool) -> list[str]:
        found = {pin for (p, pin), uses in self.legs.items() if p == part and uses[0][2].is_output == outputs}
        return sorted(found, key=natural_key)

    def connection(self, part: str, pin: str) -> str:
        """The two ends of the track that a leg stands on: an open one looks alike at both."""
        way, at, leg = self.legs[part, pin][0]
        first = at if leg.is_output else at - 1
        ends = [x for x in way.legs[max(first, 0) : first + 2] if x is not None]
        names = [f"{x.part}.{x.pin}" for x in ends]
        if first + 1 >= len(way.legs):
            names.append(self._resistor_of(way))
        return " to ".join(n for n in names if n)

    def _resistor_of(self, way: LegPath) -> str:
        bit = next(
            b for c in self.traced.bit_map.colours if c.name == way.colour for b in c.bits if b.bit == way.bit
        )
        return bit.resistors[0].part if bit.resistors else ""

    def hits(self, part: str, pin: str, level: int | None, **how: bool) -> dict[Key, Hit]:
        """One leg that has a level of its own."""
        return {(w.colour, w.bit): Hit(at, level, **how) for w, at, _ in self.legs[part, pin]}

    # -- chips --------------------------------------------------------------------------------------

    def chip(self, part: str, priors: Priors) -> Iterator[PathFault]:
        outputs = self.legs_of(part, outputs=True)
        if part in self.memories:
            yield from self._memory(part, outputs, priors)
            return
        stuck, dead, weak, control = (priors("logic", k) for k in ("stuck", "dead", "weak", "control"))
        yield from self._outputs(part, outputs, stuck, weak)
        for level, word in ((0, "low"), (1, "high")):
            hits = self._all(part, outputs, level)
            yield PathFault(
                f"{part} dead, all its outputs {word}", "chip", part, tuple(outputs), dead * 0.35, hits
            )
        yield PathFault(
            f"{part} dead, its outputs drive nothing", "chip", part, tuple(outputs), dead * 0.3,
            self._released(part, outputs),
        )  # fmt: skip
        yield from self._controls(part, outputs, control)

    def _outputs(self, part: str, outputs: list[str], stuck: float, weak: float) -> Iterator[PathFault]:
        for pin in outputs:
            share = 1.0 / len(outputs)
            for level, word in ((0, "low"), (1, "high")):
                text = f"{self.name(part, pin)} stuck {word}"
                yield PathFault(text, "chip", part, (pin,), stuck * share / 2, self.hits(part, pin, level))
            yield PathFault(
                f"{self.name(part, pin)} weak", "chip", part, (pin,), weak * share, self.hits(part, pin, None)
            )

    def _all(self, part: str, outputs: list[str], level: int | None) -> dict[Key, Hit]:
        found: dict[Key, Hit] = {}
        for pin in outputs:
            found |= self.hits(part, pin, level)
        return found

    def _released(self, part: str, outputs: list[str]) -> dict[Key, Hit]:
        """What follows outputs that hold nothing."""
        found: dict[Key, Hit] = {}
        for pin in outputs:
            found |= self._open_after(part, pin)
        return found

    def _open_after(self, part: str, pin: str) -> dict[Key, Hit]:
        found: dict[Key, Hit] = {}
        for way, at, _ in self.legs[part, pin]:
            if at + 1 < len(way.legs):
                level = open_reads(self.circuit, way.legs[at + 1].part)
                found[way.colour, way.bit] = Hit(at, level, is_open=True)
            else:
                found[way.colour, way.bit] = Hit(at, None, is_open=True, let_go=True)
        return found

    def _controls(self, part: str, outputs: list[str], share: float) -> Iterator[PathFault]:
        kinds = {
            arc.role for arc in self.circuit.identified[part].type.arcs if arc.kind == "control" and arc.role
        }
        found: list[tuple[str, dict[Key, Hit]]] = []
        if "clock" in kinds:
            found += [
                (f"{part} is not clocked, its outputs stand {word}", self._all(part, outputs, level))
                for level, word in ((0, "low"), (1, "high"))
            ]
        if "clear" in kinds:
            found.append((f"{part} is held cleared", self._all(part, outputs, 0)))
        if "enable" in kinds:
            found.append((f"{part} is not enabled", self._released(part, outputs)))
        for text, hits in found:
            yield PathFault(text, "chip", part, tuple(outputs), share / len(found), hits)

    def shared_controls(self, priors: Priors) -> Iterator[list[PathFault]]:
        """Clocks, clears and enables that several chips of the path hang on, by the chip that drives each (S7, S25)."""
        nets: dict[tuple[str, str], set[str]] = {}
        for part in self.chips:
            for arc in self.circuit.identified[part].type.arcs:
                net = self.circuit.net_of(part, arc.source)
                if arc.kind == "control" and arc.role in ("clock", "clear", "enable") and net is not None:
                    nets.setdefault((arc.role, net), set()).add(part)
        for (role, net), parts in sorted(nets.items(), key=lambda item: natural_key(item[0][1])):
            drivers = self.circuit.drivers_of(net)
            if len(parts) < 2 or not drivers or self.circuit.tied_level(net) is not None:
                continue
            driver, stuck = drivers[0], priors("logic", "stuck")
            where = f"{self.name(driver.part, driver.pin)} ({last_part(net)}, {role} of {', '.join(sorted(parts, key=natural_key))})"
            levels = (0, 1) if role == "clock" else (0,)
            legs = (
                (driver.part, driver.pin),
                *((p.part, p.pin) for p in self.circuit.pins_on(net) if p.part in parts),
            )
            faults = []
            for level in levels:
                hits: dict[Key, Hit] = {}
                for part in parts:
                    outputs = self.legs_of(part, outputs=True)
                    hits |= (
                        self._released(part, outputs) if role == "enable" else self._all(part, outputs, level)
                    )
                told = f", all stand {'high' if level else 'low'}" if role == "clock" else ""
                faults.append(
                    PathFault(
                        f"{where} dead{told}",
                        "chip",
                        driver.part,
                        (driver.pin,),
                        stuck / len(levels),
                        hits,
                        control=legs,
                        stands={"clock": "", "clear": "low", "enable": "high"}[role],
                    )
                )
            yield faults

    def _memory(self, part: str, outputs: list[str], priors: Priors) -> Iterator[PathFault]:
        bit, dead, address, contents = (priors("memory", k) for k in ("bit", "dead", "address", "contents"))
        yield from self._outputs(part, outputs, bit * 0.8, bit * 0.2)
        yield PathFault(
            f"{part} dead, its outputs drive nothing", "chip", part, tuple(outputs), dead * 0.5,
            self._released(part, outputs),
        )  # fmt: skip
        yield PathFault(
            f"{part} dead, all its outputs low",
            "chip",
            part,
            tuple(outputs),
            dead * 0.5,
            self._all(part, outputs, 0),
        )
        lines = self._live_lines(part)
        for i, (pin, _) in enumerate(lines):
            for level, word in ((0, "low"), (1, "high")):
                yield PathFault(
                    f"{self.name(part, pin)} inside it stuck {word}", "chip", part, (pin,), address / len(lines) / 2,
                    index=("stuck", i, level), memories=(part,),
                )  # fmt: skip
        for i, (pin, _) in enumerate(lines[:-1]):
            yield PathFault(
                f"{self.name(part, pin)} and {self.name(part, lines[i + 1][0])} shorted", "chip", part,
                (pin, lines[i + 1][0]), address / len(lines) / 4, index=("short", i, i + 1), memories=(part,),
            )  # fmt: skip
        for pin, other in pairwise(outputs):
            (first, *_), (second, *_) = self.legs[part, pin], self.legs[part, other]
            yield PathFault(
                f"{self.name(part, pin)} and {self.name(part, other)} shorted", "chip", part, (pin, other),
                bit * 0.1 / len(outputs), tied=((first[0].colour, first[0].bit), (second[0].colour, second[0].bit)),
            )  # fmt: skip
        yield from self._written(part, outputs, contents * 0.3)
        yield PathFault(
            f"{part} holds other words than the game wrote", "chip", part, (), contents,
            memories=(part,), scrambled=True,
        )  # fmt: skip

    def _written(self, part: str, outputs: list[str], share: float) -> Iterator[PathFault]:
        """Chips that write the memory and do not let go of its data legs."""
        writers = {
            step.part
            for c in self.traced.bit_map.colours for b in c.bits for p in b.paths
            if p.role == "write path" for step in p.steps
            if b.main_path is not None and b.main_path.source.part == part and step.part not in self.chips
        }  # fmt: skip
        for writer in sorted(writers, key=natural_key):
            yield PathFault(
                f"{writer} is held on and fights {part}", "chip", writer, (), share / len(writers),
                self._all(part, outputs, None),
            )  # fmt: skip

    def _live_lines(self, part: str) -> list[tuple[str, str]]:
        """Address legs that can change, with their nets."""
        memory = next(m for m in self.traced.bit_map.index if m.part == part)
        return [(line.pin, line.net or "") for line in memory.lines if line.is_live]

    # -- joints and tracks --------------------------------------------------------------------------

    def interconnect(self, priors: Priors) -> Iterator[PathFault]:
        """Joints of the path's legs, loose sockets, shorts between tracks."""
        opened, comes_and_goes, short, socket = (
            priors("interconnect", k) for k in ("open", "intermittent", "short", "socket")
        )
        n = len(self.legs)
        for (part, pin), uses in self.legs.items():
            name = self.name(part, pin)
            if uses[0][2].is_output:
                hits = self._open_after(part, pin)
            else:
                hits = self.hits(part, pin, open_reads(self.circuit, part), is_open=True)
            place = self.connection(part, pin)
            yield PathFault(
                f"joint or contact of {name} open", "joint", part, (pin,), opened / n, hits, place=place
            )
            yield PathFault(
                f"joint or contact of {name} comes and goes", "joint", part, (pin,), comes_and_goes / n,
                {key: replace(hit, level=None, let_go=False) for key, hit in hits.items()},
                place=part, comes_and_goes=True,
            )  # fmt: skip
        outputs = [(p, q) for (p, q), uses in self.legs.items() if uses[0][2].is_output]
        for part, pin in outputs:
            for level, word in ((0, "ground"), (1, "supply")):
                yield PathFault(
                    f"track from {self.name(part, pin)} shorted to {word}", "track", part, (pin,),
                    short * 0.7 / len(outputs) / 2, self.hits(part, pin, level), place=self.connection(part, pin),
                )  # fmt: skip
        yield from self._colour_shorts(short * 0.3)
        for part in self.chips:
            outputs_of = self.legs_of(part, outputs=True)
            # Another chip, or the same one seated anew, cures it: to the bench it is one with the chip.
            yield PathFault(
                f"{part} has no contact in its socket", "chip", part, tuple(outputs_of), socket / len(self.chips),
                self._released(part, outputs_of),
            )  # fmt: skip

    def _colour_shorts(self, share: float) -> Iterator[PathFault]:
        names = [c.name for c in self.traced.bit_map.colours if c.bits]
        pairs = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]]
        every = [*((n,) for n in names), *pairs]
        for joined in every:
            what = (
                f"{joined[0]} shorted to ground"
                if len(joined) == 1
                else f"{joined[0]} and {joined[1]} shorted together"
            )
            pins = [next(c.pin for c in self.traced.bit_map.colours if c.name == n) for n in joined]
            ends = [f"{p.part}.{p.pin}" if p.part else p.net for p in pins]
            place = " to ".join([*ends, *(["ground"] if len(joined) == 1 else [])])
            yield PathFault(
                what, "track", pins[0].part or "", tuple(p.pin for p in pins if p.pin), share / len(every),
                joined=joined, place=place,
            )  # fmt: skip

    # -- resistors and transistors ------------------------------------------------------------------

    def passives(self, priors: Priors) -> Iterator[PathFault]:
        """Resistors and transistors of the stages."""
        opened, value, short = (priors("passive", k) for k in ("open", "value", "short"))
        for colour in self.traced.bit_map.colours:
            if not colour.bits:
                continue
            stage = loaded_stage(self.traced, colour.name)
            for i, r in enumerate(stage.network.resistors):
                shown = f"{r.part} ({format_ohm(r.ohm)})"
                # A stage that is shared holds the resistors of all its colours: each is a fault of one of them.
                yield PathFault(
                    f"{shown} open", "resistor", r.part, (), opened, stage=((colour.name, "remove", i, 0.0),)
                )
                yield PathFault(
                    f"{shown} is ten times its value", "resistor", r.part, (), value,
                    stage=((colour.name, "scale", i, WRONG_VALUE),),
                )  # fmt: skip
                yield PathFault(
                    f"{shown} shorted",
                    "resistor",
                    r.part,
                    (),
                    short,
                    stage=((colour.name, "scale", i, 1e-3),),
                )
            for i, q in enumerate(stage.network.transistors):
                for how, share in (("open", opened), ("collector-emitter short", short), ("base-emitter short", short),
                                   ("collector-base short", short)):  # fmt: skip
                    change = "transistor open" if how == "open" else how
                    yield PathFault(
                        f"{q.part} {how}",
                        "transistor",
                        q.part,
                        (),
                        share,
                        stage=((colour.name, change, i, 0.0),),
                    )
            for pack, at in self._bussed(stage).items():
                yield PathFault(
                    f"common leg of {pack} open, at {colour.name}", "resistor", pack, (), opened,
                    stage=((colour.name, "lift", at, 0.0),),
                )  # fmt: skip

    def _bussed(self, stage: Stage) -> dict[str, int]:
        """Packs with several resistors from one rail -> the first of them."""
        found: dict[str, list[int]] = {}
        for i, r in enumerate(stage.network.resistors):
            if self.circuit.identified[r.part].kind == "resistor pack" and {r.a, r.b} & set(stage.fixed):
                found.setdefault(r.part, []).append(i)
        return {pack: places[0] for pack, places in found.items() if len(places) > 1}
