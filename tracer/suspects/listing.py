"""All faults that the path of a board can have, with their priors.

A share of the failed parts goes to each kind of part (`faults.toml`); within it
every part of the path has the same chance, within a part its ways to fail, and
within a way the legs. What the path has none of does not count: broken elsewhere it would not show as wrong colours.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tracer.base.errors import UsageError
from tracer.base.once import once
from tracer.parts.kinds import Kind
from tracer.suspects.beyond_faults import beyond_faults
from tracer.suspects.chip_faults import alike_pairs, chip_faults
from tracer.suspects.connection_faults import connection_faults
from tracer.suspects.control_faults import blanking_faults, control_faults
from tracer.suspects.fault import Fault, Place
from tracer.suspects.index_faults import before_faults, line_faults
from tracer.suspects.memory_faults import write_faults
from tracer.suspects.path_legs import path_legs
from tracer.suspects.priors import Priors
from tracer.suspects.stage_faults import stage_faults
from tracer.tracing.pipeline import Traced

__all__ = ["list_faults"]

_OUTSIDE_SHARES = ("oscillator", "cpu", "outside")
#: Kind of chip -> its share; all others are logic.
_SHARES: Mapping[Kind, str] = {
    Kind.RAM: "ram",
    Kind.ROM: "rom",
    Kind.PROM: "prom",
    Kind.EPROM: "eprom",
    Kind.LOGIC_ARRAY: "pal",
    Kind.CUSTOM: "custom",
    Kind.UNKNOWN: "custom",
    Kind.CPU: "custom",
    Kind.DAC: "custom",
}


@once
def list_faults(traced: Traced, priors: Priors) -> tuple[Fault, ...]:
    """Every fault of the path, priors adding up to 1.

    The last two are doubt: a fault of the path of a kind that is not listed, and one that lies elsewhere.

    Raises
    ------
    UsageError
        The priors are all 0.
    """
    legs = path_legs(traced)
    # Share -> its parts, each with its weight among them.
    groups: dict[str, list[tuple[float, list[Fault]]]] = {}
    for part in legs.chips:
        share = _SHARES.get(traced.circuit.identified[part].kind, "logic")
        groups.setdefault(share, []).append((1.0, list(chip_faults(legs, part, priors))))
    beside = priors("control", "shared")
    for faults in (*control_faults(legs, priors), *blanking_faults(legs, priors)):
        groups.setdefault("logic", []).append((beside, faults))
    for faults in line_faults(legs, priors):
        groups.setdefault("logic", []).append((priors("control", "index"), faults))
    for faults in before_faults(legs, priors):
        groups.setdefault("logic", []).append((priors("control", "before"), faults))
    for faults in alike_pairs(legs, priors):
        groups.setdefault("logic", []).append((priors("logic", "pair"), faults))
    for faults in write_faults(legs, priors):
        groups.setdefault("logic", []).append((priors("control", "writer"), faults))
    groups["beyond"] = [(1.0, list(beyond_faults(legs, priors)))]
    groups["interconnect"] = [(1.0, list(connection_faults(legs, priors)))]
    groups["passive"] = [(1.0, list(stage_faults(traced, priors)))]
    found: list[Fault] = []
    outside = sum(priors("share", kind) for kind in _OUTSIDE_SHARES)
    for share, weight in priors.tables["share"].items():
        if share in _OUTSIDE_SHARES:
            continue
        parts = [(w, faults) for w, faults in groups.get(share, []) if faults]
        if not parts:
            continue
        total = sum(w for w, _ in parts) or 1.0
        for w, faults in parts:
            inside = sum(f.prior for f in faults) or 1.0
            found += [replace(f, prior=weight * w / total * f.prior / inside) for f in faults]
    found.append(Fault("unlisted", "something else", "", Place(), prior=priors("doubt", "unlisted")))
    found.append(Fault("outside", "elsewhere", "", Place(), prior=outside))
    total = sum(f.prior for f in found)
    if not total - priors("doubt", "unlisted"):
        raise UsageError(
            "the priors leave no fault that could be the one",
            fix="give at least one share of [share] more than 0",
        )
    return tuple(replace(f, prior=f.prior / total) for f in found)
