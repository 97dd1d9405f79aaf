"""Sentences of the grammars in `grammars/`: rules are taken at random, words are those that stand in samples.

What a sample has no word for is made from the terminal's own pattern, where that is plain enough.
"""

from __future__ import annotations

import random
import re
from collections import defaultdict
from collections.abc import Iterable
from functools import cache
from typing import Any

from tracer.importers.grammar import load_grammar

__all__ = ["Grammar"]

#: Expansions after which a sentence is brought to its end, and the longest one.
_WIDE = 400
_DEEPEST = 60


class Grammar:
    """One grammar, with the words that samples gave it."""

    def __init__(self, name: str, samples: Iterable[str], start: str = "start") -> None:
        self.lark = load_grammar(name, start)
        self.start = start
        self.rules: dict[str, list[list[tuple[bool, str]]]] = defaultdict(list)
        for rule in self.lark.rules:
            origin = str(getattr(rule.origin, "name", rule.origin))
            self.rules[origin].append([(s.is_term, str(s.name)) for s in rule.expansion])
        self.words: dict[str, list[str]] = defaultdict(list)
        for text in samples:
            self._learn(text)
        ignored = getattr(self.lark, "ignore_tokens", ())
        self.blank = " " if ignored else ""
        self.costs = self._costs()

    def _learn(self, text: str) -> None:
        """Take up the words of a sample, as far as the lexer gets."""
        from lark.exceptions import LarkError

        interactive = self.lark.parse_interactive(text)
        try:
            for token in interactive.iter_parse():
                known = self.words[token.type]
                if len(known) < 300 and str(token) not in known:
                    known.append(str(token))
        except LarkError:
            return

    def _costs(self) -> dict[str, float]:
        """Fewest words that a rule can end with."""
        costs: dict[str, float] = defaultdict(lambda: float("inf"))
        for _ in range(40):
            for origin, expansions in self.rules.items():
                costs[origin] = min(
                    sum(1.0 if is_term else 1 + costs[name] for is_term, name in expansion)
                    for expansion in expansions
                )
        return costs

    def sentence(self, rng: random.Random) -> str:
        """One sentence; words are parted by a blank where the grammar passes over blanks."""
        out: list[str] = []
        waiting: list[tuple[bool, str, int]] = [(False, self.start, 0)]
        taken = 0
        while waiting:
            is_term, name, depth = waiting.pop()
            if is_term:
                out.append(self._word(name, rng))
                continue
            taken += 1
            expansions = self.rules[name]
            if taken > _WIDE or depth > _DEEPEST:
                chosen = min(expansions, key=lambda e: sum(1.0 if t else 1 + self.costs[n] for t, n in e))
            else:
                chosen = rng.choice(expansions)
            waiting += [(t, n, depth + 1) for t, n in reversed(chosen)]
        gap = self.blank or rng.choice(("", "\n", " "))
        return gap.join(out)

    def _word(self, name: str, rng: random.Random) -> str:
        if self.words.get(name) and rng.random() < 0.95:
            return rng.choice(self.words[name])
        return rng.choice(_made(self._pattern(name)))

    def _pattern(self, name: str) -> str:
        return next((str(t.pattern.to_regexp()) for t in self.lark.terminals if t.name == name), "")


@cache
def _made(pattern: str) -> tuple[str, ...]:
    """A few texts that fit a pattern, out of its own parse tree."""
    rng = random.Random(pattern)
    parser: Any = getattr(re, "_parser")  # noqa: B009
    try:
        tree = parser.parse(pattern)
    except re.error:
        return ("",)
    return tuple(_text(tree, rng) for _ in range(12))


def _text(tree: Any, rng: random.Random) -> str:
    out = []
    for op, value in tree:
        name = str(op)
        if name == "LITERAL":
            out.append(chr(value))
        elif name == "NOT_LITERAL":
            out.append("x" if value != ord("x") else "y")
        elif name == "ANY":
            out.append(rng.choice("aZ0 .-"))
        elif name == "IN":
            out.append(_one_of(value, rng))
        elif name == "BRANCH":
            out.append(_text(rng.choice(value[1]), rng))
        elif name in ("MAX_REPEAT", "MIN_REPEAT", "POSSESSIVE_REPEAT"):
            low, high, inner = value
            times = rng.randint(low, min(int(high), low + 4))
            out += [_text(inner, rng) for _ in range(times)]
        elif name == "SUBPATTERN":
            out.append(_text(value[3], rng))
        elif name == "ATOMIC_GROUP":
            out.append(_text(value, rng))
    return "".join(out)


def _one_of(items: Any, rng: random.Random) -> str:
    negated = str(items[0][0]) == "NEGATE"
    if negated:
        fits = [c for c in "xY0_+.:~ \u00e9" if not any(_holds(item, c) for item in items[1:])]
        return rng.choice(fits or ["\u00e9"])
    op, value = rng.choice(items)
    if str(op) == "RANGE":
        return chr(rng.randint(*value))
    if str(op) == "CATEGORY":
        return {"CATEGORY_DIGIT": "7", "CATEGORY_SPACE": " ", "CATEGORY_WORD": "w"}.get(str(value), "-")
    return chr(value)


def _holds(item: Any, character: str) -> bool:
    op, value = str(item[0]), item[1]
    if op == "RANGE":
        return bool(value[0] <= ord(character) <= value[1])
    if op == "CATEGORY":
        kinds = {"CATEGORY_DIGIT": r"\d", "CATEGORY_SPACE": r"\s", "CATEGORY_WORD": r"\w"}
        return re.match(kinds.get(str(value), r"[^\w]"), character) is not None
    return bool(value == ord(character))
