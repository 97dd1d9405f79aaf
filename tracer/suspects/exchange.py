"""Two colours exchanged at the plug: what moves to the other colour lies on the board, what stays lies behind the plug.

An edge contact stays with its pin, a harness and a monitor with their colour, so that of what lies behind the connector's
pin only a part stays (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations

from tracer.suspects.fault import Fault
from tracer.suspects.priors import Priors, chances
from tracer.tracing.pipeline import Traced

__all__ = ["EXCHANGES", "exchange_of", "exchangeable"]

EXCHANGES: tuple[str, ...] = ("moves", "stays", "cured")


def exchangeable(traced: Traced) -> tuple[tuple[str, str], ...]:
    """Pairs of colours whose wires can be exchanged, as both leave by a connector's pin."""
    names = [c.name for c in traced.bit_map.colours if c.bits and c.pin.part]
    return tuple(combinations(names, 2))


def exchange_of(
    fault: Fault, words: Mapping[str, str] | None, pair: tuple[str, ...], priors: Priors
) -> Mapping[str, float]:
    """Chances of each answer; `words` are what the screen shows under the fault, by colour."""
    if fault.manner == "wires swapped" and set(fault.colours) == set(pair):
        return {"cured": 1.0}
    if fault.what == "beyond":
        is_of_one = len(set(fault.colours) & set(pair)) == 1
        return chances(priors, "exchange_beyond" if is_of_one else "exchange_alike")
    if words is None:
        return chances(priors, "exchange_unknown")
    is_alike = words.get(pair[0]) == words.get(pair[1])
    return chances(priors, "exchange_alike") if is_alike else {"moves": 1.0}
