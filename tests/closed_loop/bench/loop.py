"""One whole loop: a fault, a person's words, the program's measurements and their answers, and what it ends with."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from functools import cache

from tests.closed_loop.bench.boards import DEMO, Case, demo_case, random_case
from tests.closed_loop.bench.fault import Fault, Verdict, verdict
from tests.closed_loop.bench.faults import draw_fault
from tests.closed_loop.bench.person import Bench, Person
from tests.closed_loop.bench.plain import plain_search
from tests.closed_loop.bench.program import Program

__all__ = ["CONVINCED", "MOST", "N_RANDOM", "SURE", "Loop", "cases", "run_loop", "run_loops"]

#: It ends with one suspect at this share, or after so many measurements.
SURE, MOST = 0.9, 12
#: From here on a wrong first suspect is told with conviction.
CONVINCED = 0.90
N_RANDOM = 6
#: Minutes of a further place beside the one that the probe is at: guess.
SWEPT_MINUTES = 0.25


@dataclass(frozen=True)
class Loop:
    """How one loop went.

    Attributes
    ----------
    board, family, fault : str
    words : dict of str to str
        As told.
    verdict : {'right', 'half', 'wrong'}
        On the first suspect at the end.
    said : float
        Its share.
    first : str
        It.
    is_cured : bool
        A chip that the program had exchanged on the way was the one, or had the bad joint.
    is_listed : bool
        Whether the program has any suspect that would be right.
    measurements : int
    minutes : float
    said_on_words : float
    verdict_on_words : {'right', 'half', 'wrong'}
        Before any measurement.
    plain : {'right', 'half', 'wrong'}
    plain_measurements : int
    plain_minutes : float
    steps : tuple of str
        Measurements and answers.
    """

    board: str
    family: str
    fault: str
    words: dict[str, str]
    verdict: Verdict
    said: float
    first: str
    is_cured: bool
    is_listed: bool
    measurements: int
    minutes: float
    said_on_words: float
    verdict_on_words: Verdict
    plain: Verdict
    plain_measurements: int
    plain_minutes: float
    steps: tuple[str, ...] = ()

    @property
    def is_convinced(self) -> bool:
        """Whether the first suspect is told with conviction."""
        return self.said >= CONVINCED

    def as_dict(self) -> dict[str, object]:
        """Plain data."""
        return {**asdict(self), "steps": list(self.steps)}


@cache
def cases(n_random: int = N_RANDOM) -> tuple[Case, ...]:
    """The boards: the demo boards, and random ones."""
    return (*(demo_case(name) for name in DEMO), *(random_case(i) for i in range(n_random)))


@cache
def _program(name: str, n_random: int) -> Program:
    return Program(next(c.traced for c in cases(n_random) if c.board.name == name))


def _case(rng: random.Random, among: Sequence[Case]) -> Case:
    """Demo boards weigh twice as much as random ones."""
    [case] = rng.choices(among, [2 if c.board.name in DEMO else 1 for c in among])
    return case


def _complaint(rng: random.Random, among: Sequence[Case]) -> tuple[Case, Bench, Fault]:
    """A board, a fault that someone would complain of, and the person who does."""
    while True:
        case = _case(rng, among)
        fault = draw_fault(case.board, rng)
        bench = Bench(case.board, fault, Person.draw(rng), rng)
        if set(bench.true_words().values()) != {"fine"}:
            return case, bench, fault


def run_loop(seed: str, n_random: int = N_RANDOM) -> Loop:
    """One loop; the same seed gives the same."""
    rng = random.Random(seed)
    case, bench, fault = _complaint(rng, cases(n_random))
    words = bench.words()
    program = _program(case.board.name, n_random)
    program.begin()
    for colour, word in words.items():
        program.tell("seen", (colour,), word)
    on_words = program.top()
    steps: list[str] = []
    minutes, is_cured = 0.0, False
    # Nobody takes a chip out on words alone.
    while len(steps) < MOST and (not steps or program.top().probability < SURE):
        step = program.next()
        if step is None:
            break
        answers = []
        for where in (step.where, *step.swept):
            answers.append(bench.measure(step.kind, where))
            program.tell(step.kind, where, answers[-1])
        places = ", ".join(" ".join(where) for where in (step.where, *step.swept))
        steps.append(f"{step.kind} {places}: {', '.join(answers)}")
        is_cured |= step.kind == "swapped" and bench.swapped(step.where) == "cured"
        minutes += bench.minutes(step.kind, step.where) + SWEPT_MINUTES * len(step.swept)
    top = program.top()
    plain = plain_search(case, bench, words, MOST)
    return Loop(
        case.board.name, fault.family, fault.name, words, verdict(fault, top.what, top.ends), top.probability,
        " ".join((top.what, *top.ends)), is_cured, any(verdict(fault, *s) == "right" for s in program.suspects),
        len(steps), minutes, on_words.probability, verdict(fault, on_words.what, on_words.ends), verdict(fault, plain.what, plain.ends), plain.measurements, plain.minutes, tuple(steps),
    )  # fmt: skip


def run_loops(n: int, seed: int, n_random: int = N_RANDOM) -> list[Loop]:
    """Several loops."""
    return [run_loop(f"{seed} {i}", n_random) for i in range(n)]
