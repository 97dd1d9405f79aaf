"""Phrases in what people say: the longest that is known at each place, what is denied, and nothing passed over.

A word that is neither part of a phrase nor one that says nothing by itself is
refused: what is not understood must not be taken for something else.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tracer.base.errors import UsageError
from tracer.base.names import nearest

__all__ = ["FILLERS", "Phrases", "Said", "check_length", "one_word", "tokens_of"]

_DENIALS = frozenset({"not", "no", "never", "neither", "nor", "without", "cannot"})
#: What stands behind a denial without a word of its own: "no longer flickers", "not at all fine".
FILLERS: tuple[str, ...] = (
    "a", "an", "the", "is", "are", "was", "were", "be", "it", "its", "this", "that", "there", "they", "has", "have", "had",
    "does", "do", "did", "looks", "look", "seems", "seem", "reads", "read", "shows", "show", "comes", "gets", "got", "stays",
    "stay", "very", "quite", "rather", "too", "bit", "little", "slightly", "somewhat", "clearly", "really", "completely",
    "totally", "entirely", "just", "also", "always", "longer", "at all", "all over", "all the time", "as well", "s", "now", "so", "on", "in",
    "at", "of", "with", "and", "level", "signal",
)  # fmt: skip
_TOKEN = re.compile(r"#[0-9a-f]{6}|[a-z0-9]+(?:[.,][0-9]+)?|[^\sa-z0-9]", re.IGNORECASE)
_SIGNS = frozenset("-'\"().!:;,/_")
_APART = str.maketrans({"\u2019": "'", "\u2018": "'"})
_NOT = re.compile(r"\b(is|are|was|were|does|do|did|has|have|can|wo|could)n'?t\b")
#: Longest text that is read at once: more is a story.
LONGEST_SAID = 400


@dataclass(frozen=True, slots=True)
class Said:
    """One phrase: what it stands for, whether it was denied, and as it was written."""

    word: str
    is_denied: bool
    text: str


def check_length(text: str) -> None:
    """Refuse what is too long to be a word or two.

    Raises
    ------
    UsageError
    """
    if len(text) > LONGEST_SAID:
        raise UsageError(
            f"{text[:40]!r} and what follows is longer than {LONGEST_SAID} letters",
            fix="tell one thing at a time, in few words",
        )


def tokens_of(text: str) -> list[str]:
    """Words in small letters; ``isn't`` as two, hyphens and points as blanks."""
    plain = _NOT.sub(r"\1 not", text.lower().translate(_APART))
    return [t for t in _TOKEN.findall(plain) if t not in _SIGNS]


class Phrases:
    """Words that can be said, each with the phrases that people use for it.

    Parameters
    ----------
    phrases : mapping of str to str or sequence of str
        What it stands for -> phrases, parted by ``|``.
    fillers : iterable of str
        Words that say nothing by themselves.
    """

    def __init__(self, phrases: Mapping[str, str], fillers: Iterable[str] = FILLERS) -> None:
        self.words = tuple(phrases)
        self._known: dict[tuple[str, ...], str] = {tuple(f.split()): "" for f in fillers}
        for word, said in phrases.items():
            for each in (word, *said.split("|")):
                self._known[tuple(tokens_of(each))] = word
        self._longest = max(map(len, self._known), default=0)

    def with_words(self, words: Mapping[str, str]) -> Phrases:
        """These and others beside them; others are phrase -> what it stands for."""
        other = Phrases({}, ())
        other.words = self.words
        other._known = {**{tuple(tokens_of(p)): w for p, w in words.items() if tokens_of(p)}, **self._known}
        other._longest = max(map(len, other._known))
        return other

    def said(self, text: str, what: str, fix: str) -> list[Said]:
        """All that a text says, in its order.

        Raises
        ------
        UsageError
            It holds a word that is not known, or denies nothing; `what` says what the text does not do.
        """
        tokens = tokens_of(text)
        found: list[Said] = []
        at, denial = 0, ""
        while at < len(tokens):
            length = self._length_at(tokens, at)
            if length == 0 and tokens[at] in _DENIALS:
                denial, at = tokens[at], at + 1
                continue
            if length == 0:
                raise UsageError(
                    f"{text.strip()[:80]!r} {what}: {tokens[at][:20]!r} is not understood",
                    fix=nearest(tokens[at][:20], self._one_word_phrases()) + fix,
                )
            word = self._known[tuple(tokens[at : at + length])]
            if word:
                found.append(Said(word, bool(denial), " ".join(tokens[at : at + length])))
                denial = ""
            at += length
        if denial:
            raise UsageError(f"{text.strip()[:80]!r} {what}: what does {denial!r} deny", fix=fix)
        return found

    def _one_word_phrases(self) -> list[str]:
        return [phrase[0] for phrase, word in self._known.items() if len(phrase) == 1 and word]

    def _length_at(self, tokens: Sequence[str], at: int) -> int:
        """Tokens of the longest phrase that starts there."""
        for length in range(min(self._longest, len(tokens) - at), 0, -1):
            if tuple(tokens[at : at + length]) in self._known:
                return length
        return 0


def one_word(said: Sequence[Said], text: str, what: str, fix: str) -> Said:
    """The one thing that is said; what is denied beside it must be something else.

    Raises
    ------
    UsageError
        Nothing is said, two things are, or one is said and denied.
    """
    claimed = {s.word: s for s in said if not s.is_denied}
    denied = {s.word: s for s in said if s.is_denied}
    if len(claimed) > 1:
        raise UsageError(
            f"{text.strip()[:80]!r} says two things: {' and '.join(claimed)}", fix=f"tell one of them; {fix}"
        )
    if claimed and not claimed.keys() & denied.keys():
        return next(iter(claimed.values()))
    if claimed:
        raise UsageError(f"{text.strip()[:80]!r} says {next(iter(claimed))} and denies it", fix=fix)
    if len(denied) != 1:
        raise UsageError(f"{text.strip()[:80]!r} {what}", fix=fix)
    return next(iter(denied.values()))
