"""The numbers of the diagnosis: each one counts, and a file of one's own reaches each."""

from __future__ import annotations

from functools import cache

import pytest

from tests.boards import board as bench
from tests.hostile import in_time
from tests.stage_boards import traced_stage, weighted
from tracer.base.errors import PartDataError, UsageError
from tracer.importers import read_netlist
from tracer.suspects.observation import ANSWERS, Observation
from tracer.suspects.priors import Priors, chances, load_priors
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.words import WORDS
from tracer.tracing.pipeline import Traced, trace_fully

USUAL = load_priors()
NUMBERS = [(table, name) for table, numbers in USUAL.tables.items() for name in numbers]


#: Bits from one memory of each kind, from an array and from a chip that nobody knows; two latches alike.
KINDS = """
part J1 plug 1=RED 2=GREEN 3=BLUE symbol=Conn_01x03
part U1 82S123
part U2 2764
part U3 2316
part U4 PAL16L8
part U5 CUS-9 1=VIDEO:output
part R1 470
part R2 1k
part R3 1k
part R4 470
part R5 1k
U1.1 R1.1
part U6 74LS174
part U7 74LS174
U2.11 U6.3
U6.2 R2.1
U3.9 R3.1
U4.19 U7.3
U7.2 R4.1
U5.1 R5.1
RED: J1.1 R1.2 R3.2
GREEN: J1.2 R2.2
BLUE: J1.3 R4.2 R5.2
"""


@cache
def board(name: str) -> Traced:
    if name == "dunlin":
        return trace_fully(read_netlist("netlists/dunlin/dunlin.net"))
    if name == "kinds":
        return trace_fully(bench(KINDS))
    return traced_stage(weighted(470), 1)


def weighed(name: str, priors: Priors) -> list[object]:
    """Every prior, chance and minute that the numbers lead to."""
    found = Reasoning(board(name), priors)
    said = [Observation("seen", (colour,), word) for colour in ("red", "green") for word in WORDS]
    said += [Observation("warmth", (), "changes"), Observation("layer", (), "one")]
    said += [Observation("shapes", (), "right"), Observation("appears", ("orange",), "green")]
    said += [Observation("appears", ("orange",), "olive")]
    steps = found.candidates()
    measured = [Observation(c.kind, c.where, word) for c in steps for word in ANSWERS[c.kind]]
    all_of: list[object] = [f.prior for f in found.faults]
    all_of += [found.likelihood(i, o) for o in (*said, *measured) for i in range(len(found.faults))]
    found.observe(said[0])
    found.observe(Observation("read", steps[0].where, "low"))
    again = next(c for c in found.candidates() if (c.kind, c.where) == ("read", steps[0].where))
    all_of += [found.likelihood(len(found.faults) - 1, o) for o in said]
    all_of += [found.likelihood(0, o, "careless") for o in measured if o.kind == "swapped"]
    nexts = found.best_next(60)
    return [*all_of, *(c.minutes for c in (*found.candidates(), *nexts)), found.worth(again)]


@cache
def usual(name: str) -> list[object]:
    return weighed(name, USUAL)


@pytest.mark.parametrize(("table", "name"), NUMBERS)
def test_every_number_counts(table: str, name: str) -> None:
    mine = load_priors(f'[{table}]\n"{name}" = {USUAL(table, name) * 0.5 + 0.013}\n')
    # A board with one latch, one with each kind of memory, and one with a shared clock and a write path.
    assert any(weighed(each, mine) != usual(each) for each in ("one bit", "kinds", "dunlin"))


def test_shares_of_a_table_are_taken_as_parts_of_their_sum() -> None:
    mine = load_priors("[read_silent]\nfloating = 3\nbetween = 1\n")
    assert chances(mine, "read_silent") == {"floating": 0.75, "between": 0.25}
    assert chances(load_priors("[read_silent]\nfloating = 0\nbetween = 0\n"), "read_silent") == {
        "floating": 0.0,
        "between": 0.0,
    }


def test_all_shares_at_nothing_leave_no_fault_and_are_told() -> None:
    nothing = load_priors("[share]\n" + "".join(f"{name} = 0\n" for name in USUAL.tables["share"]))
    with pytest.raises(UsageError) as caught:
        Reasoning(board("one bit"), nothing)
    assert caught.value.fix


@pytest.mark.parametrize("value", [0, 7])
@pytest.mark.parametrize(
    "table", ["minutes", "error", "press", "warmth", "layer", "outside", "outside_first", "read_silent"]
)
def test_numbers_out_of_bounds_give_chances_all_the_same(table: str, value: float) -> None:
    """A chance above 1 counts as 1; a measurement costs a moment at least."""
    text = f"[{table}]\n" + "".join(f"{name} = {value}\n" for name in USUAL.tables[table])
    found = Reasoning(board("one bit"), load_priors(text))
    said = [
        Observation("seen", ("red",), "missing"),
        Observation("warmth", (), "changes"),
        Observation("layer", (), "one"),
    ]
    for observation in said:
        found.observe(observation)
    assert found.best_next()
    assert all(0.0 <= p <= 1.0 + 1e-9 for p in found.by_group().values())


@pytest.mark.parametrize(
    "value", ["9" * 6000, "1e400", "nan", "-1", "true", '"x"', "[" * 50_000, "1979-05-27"]
)
def test_what_is_no_number_of_minutes_is_refused(value: str) -> None:
    with in_time(), pytest.raises(PartDataError) as caught:
        load_priors(f"[minutes]\nread = {value}\n", "p.toml")
    assert caught.value.fix
