"""What people say of the screen: what a colour does, what shows for what, whether the shapes are right, when and where.

``red and green missing, the rest fine``; ``white as blue``; ``shapes right``;
``flickers when warm``; ``wrong in the sprites only``. Each phrase is weighed or
refused with what can be said instead.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from tracer.base.errors import UsageError
from tracer.base.names import nearest
from tracer.netlist.colour_names import meant_colour
from tracer.suspects.cielab import COLOUR_NAMES, colour_called
from tracer.suspects.observation import Observation
from tracer.suspects.phrases import Phrases, Said, check_length, one_word
from tracer.suspects.words import WORDS

__all__ = ["said_of_screen"]

#: What a colour does -> how people say it.
_SCREEN: Mapping[str, str] = {
    "fine": "good|ok|okay|right|normal|correct|all right|as it should be",
    "missing": "gone|none|absent|dead|black|lost|lacking|not there|not there at all",
    "always on": "stuck|stuck on|stays on|full|full on|flat|solid|never dark|never black",
    "weak": "dim|dark|darker|faint|pale|weaker|half as bright|half as strong|half bright|half the brightness|"
    "at half brightness|half brightness|washed out|not bright enough|too dim",
    "too strong": "strong|bright|heavy|too much|stronger|brighter|twice as bright|twice as strong|twice the brightness",
    "coarse": "steps|step|in steps|shows steps|coarse steps|poor|some shades are gone|some shades are missing|"
    "some shades gone|some shades missing",
    "mixed": "mixes|bleeds|bleeds into|mixed up with|mixed with|mixes with|follows",
    "flickers": "flicker|flickering|sparkles|sparkle|sparkling|noise|noisy|intermittent|unsteady|comes and goes",
    "wrong": "random|scrambled|mad|garbled|broken|bad",
}
_ALL, _REST, _SHAPES, _LAYER, _WARM, _NOT_WARM = (
    "<all>",
    "<rest>",
    "<shapes>",
    "<layer>",
    "<warm>",
    "<not warm>",
)
_ONLY_COLOURS = "<only colours>"
_BESIDE: Mapping[str, str] = {
    _ALL: "all|everything|every colour|all colours|all three|all three colours|the colours|colours|both colours|picture|"
    "the whole picture|screen|the whole screen",
    _REST: "the rest|rest|others|the others|the other colours|other colours|all others|the other|the other two",
    _SHAPES: "shapes|shape|the shapes|drawing|outlines|the drawing of the picture",
    _ONLY_COLOURS: "only the colours are wrong|only colours are wrong|only the colours are off|only its colours are off|"
    "only the colours wrong|only colours wrong|only the colours|picture is whole|picture whole|the picture is whole|the picture is all there",
    _LAYER: "one layer|only one layer|one layer only|only on one layer|only in one layer|layer|a layer|sprites|only sprites|"
    "only the sprites|only in the sprites|sprites only|the sprites only|background|only the background|only in the "
    "background|background only|the background only|text|only the text|only in the text|text only|the text only",
    "<every layer>": "all layers|in all layers|every layer|in every layer|each layer|on all layers",
    _WARM: "when warm|warm|warmth|with warmth|when hot|hot|heat|with heat|when cold|cold|since warm|once warm|as it warms up|"
    "warms up|warmed up|when warmed up|minutes|after minutes|after some minutes|after a few minutes|after a while|"
    "until warm|from cold|when it is warm|when it is cold|when it is hot",
    _NOT_WARM: "also when warm|also when cold|also when hot|warm or cold|warm and cold|cold or warm|cold and warm|"
    "hot or cold|cold and hot|whether warm or cold",
}
_SHAPES_RIGHT = Phrases({"right": "fine|good|ok|okay|normal|whole|intact|correct|all right|complete|as they should be|clean",
                         "broken": "wrong|scrambled|garbled|bad|torn|random|mad"})  # fmt: skip
_ALL_WORDS = Phrases({**_SCREEN, **_BESIDE, "<whole>": "whole|intact|complete|torn"})
_FIX = f"the words are: {', '.join(WORDS)}; or say what shows for what: white as blue"

#: Phrases that say something else than a word that they hold -> what to say instead.
_REFUSED: Mapping[str, str] = {
    r"band(s|ed|ing)?|strip(e|es|ed)|bars?|lines?": "say coarse where a gradient shows steps, shapes broken where stripes lie "
    "over the picture",
    r"(left|top|bottom|middle|corner|edge|side|upper|lower|part|parts)\b|right\s+(half|side|part|edge)|half\s+(of|the\s+"
    r"(screen|picture))": "the colour path treats the whole screen alike: say shapes broken if only a part of it is wrong, and "
    "look at what draws the picture",
    r"invert(ed|s)?|negative|reversed?|inverse": "say what shows for what, for example white as black, black as white; or wrong",
    r"(only|in|at|for|with|on)\s+(some|a\s+few|certain|two|one)\s+colou?rs?|some\s+colou?rs?": "say which, for example white as "
    "blue",
    r"low|off|high": "say missing, weak, too strong or wrong",
}
_REFUSALS = [(re.compile(rf"\b(?:{words})\b", re.IGNORECASE), fix) for words, fix in _REFUSED.items()]
_PRESSED = re.compile(
    r"\b(?:when|while|if|on|by)\s+(?:i\s+)?(?:(?:press|tapp?|touch|push|warm)(?:ing|ed)?\s+(?:on\s+)?(?P<a>[\w:]*\d[\w:]*)|"
    r"(?P<b>[\w:]*\d[\w:]*)\s+is\s+(?:pressed|tapped|touched|pushed|warmed))\b",
    re.IGNORECASE,
)
_ANY_PRESS = re.compile(r"\b(?:press|tap|touch|push)(?:p?ed|p?ing)?\b", re.IGNORECASE)
#: What should be "as" what is; what is "instead of" what should be. "As bright", "as it should be" are no colours.
_AS = re.compile(r"\bas\b(?!\s+(?:it|they|strong|bright|well|before|usual)\b)", re.IGNORECASE)
_TURNED = re.compile(
    r"\binstead\s+of\b|(?<!\bit\s)(?<!\bthey\s)\bshould\s+(?:be|have\s+been)\b(?!\s+(?:fine|right|there|ok)\b)",
    re.IGNORECASE,
)
#: What stands around the two colours.
_AROUND = re.compile(
    r"^\s*(?:(?:what|it|the|an?|all|is|are)\s+)*|(?:\s+(?:is|are|looks?|appears?|shows?|comes?|seen|turns?|drawn|that|which))*"
    r"(?P<deny>\s+not)?(?:\s+(?:seen|shown|drawn))?\s*$",
    re.IGNORECASE,
)
_APART = re.compile(r"n['\u2019]t\b")
_NOT = re.compile(r"\bnot\b|n['\u2019]?t\b", re.IGNORECASE)
_ONLY_OFF = re.compile(r"\bonly\s+(?:the\s+|its\s+)?colou?rs\s+(?:are\s+)?(?:off|wrong)\b", re.IGNORECASE)
_AFTER = re.compile(
    r"\bafter\s+(?:about\s+|some\s+)?(?:an?\s+few|an?|[\w.]+)\s+(?:minutes?|mins?|hours?|seconds?)\b",
    re.IGNORECASE,
)
#: "White is pink" where both are colours.
_IS = re.compile(r"\s+(?:is|are|looks?|appears?|turns?|turned|became|becomes)\s+", re.IGNORECASE)
_LONGEST_NAME = 40
_CLAUSES = re.compile(r"[,;]|\bbut\b|\bwhile\b(?!\s+press)", re.IGNORECASE)


def said_of_screen(text: str, colours: Sequence[str], others: Sequence[str] = ()) -> list[Observation]:
    """Everything that a text says of the screen of a board with these colours; `others` are none of it and refused.

    >>> [(o.where, o.word) for o in said_of_screen("red missing, the rest fine", ("red", "green", "blue"))]
    [(('red',), 'missing'), (('green',), 'fine'), (('blue',), 'fine')]
    >>> said_of_screen("white as blue", ("red", "green", "blue"))
    [Observation(kind='appears', where=('white',), word='blue', is_denied=False)]

    Raises
    ------
    UsageError
        Something in it is not understood, or cannot be weighed.
    """
    check_length(text)
    found = list(dict.fromkeys(_Screen(text, colours, others).observations()))
    for each in found:
        if each.kind == "seen" and each.where[0] not in colours:
            raise UsageError(
                f"{each.where[0][:_LONGEST_NAME]} is no colour of this board",
                fix=f"{nearest(meant_colour(each.where[0]) or each.where[0], colours)}its colours are: {', '.join(colours)}",
            )
    return found


class _Screen:
    """Reads one text."""

    def __init__(self, text: str, colours: Sequence[str], others: Sequence[str]) -> None:
        self.text, self.colours = text.strip(), tuple(colours)
        self.phrases = _ALL_WORDS.with_words({c: f"colour {c}" for c in (*others, *colours)})
        self.found: list[Observation] = []
        self.rest: list[Said] = []
        self.last: Sequence[Said] = ()

    def observations(self) -> list[Observation]:
        for clause in _CLAUSES.split(self.text):
            if clause.strip():
                self._clause(clause)
        if self.rest:
            told = {o.where[0] for o in self.found if o.kind == "seen"}
            self._say([c for c in self.colours if c not in told], self.rest)
        for colour in self.colours:
            said = {
                o.word for o in self.found if o.kind == "seen" and o.where == (colour,) and not o.is_denied
            }
            if len(said) > 1:
                raise self._refused(
                    f"says two things of {colour}: {' and '.join(sorted(said))}", f"tell one of them; {_FIX}"
                )
        words = {o.word for o in self.found if o.kind == "seen"}
        if words == {"fine"} and any(o.kind == "layer" and not o.is_denied for o in self.found):
            raise self._refused(
                "says of one layer that it is fine",
                "say what is wrong in the others: red wrong in the background only",
            )
        if not self.found:
            raise self._refused("says nothing of the screen", _FIX)
        return self.found

    def _refused(self, why: str, fix: str) -> UsageError:
        return UsageError(f"{self.text[:80]!r} {why}", fix=fix)

    def _clause(self, clause: str) -> None:
        if self._is_mixture(clause):
            return
        for press in _PRESSED.finditer(clause):
            if re.search(r"\bnot\s*$", clause[: press.start()], re.IGNORECASE):
                raise self._refused("is not clear", "write --pressed U13=no change")
            self.found.append(Observation("press", ((press["a"] or press["b"]).upper(),), "changes"))
        clause = _ONLY_OFF.sub(" only the colours ", _AFTER.sub(" after minutes ", _PRESSED.sub(" ", clause)))
        if _ANY_PRESS.search(clause):
            raise self._refused("does not say which part was pressed", "name it: --pressed U13=changes")
        for refused, fix in _REFUSALS:
            if refused.search(clause) and not re.search(r"half\s+the\s+brightness", clause, re.IGNORECASE):
                raise self._refused("cannot be weighed as it stands", fix)
        self._phrases(self.phrases.said(clause, "is no word for what the screen does", _FIX))

    def _is_mixture(self, clause: str) -> bool:
        """``white as blue and yellow as black``."""
        if not _AS.search(clause) and not _TURNED.search(clause):
            clause = self._with_as(clause)
            if not clause:
                return False
        for each in re.split(r"\band\b", clause, flags=re.IGNORECASE):
            plain = _APART.sub(" not", each)
            turned = _TURNED.search(plain)
            ends = (_TURNED if turned else _AS).split(plain)
            if len(ends) != 2:
                raise self._refused(
                    "is not understood", "write what should be and what is: white as blue, yellow as black"
                )
            wanted, shown = (
                _AROUND.sub("", end).strip(" \"'.!") for end in (reversed(ends) if turned else ends)
            )
            colour_called(wanted), colour_called(shown)
            is_denied = any(found["deny"] for end in ends for found in _AROUND.finditer(end))
            self.found.append(Observation("appears", (_plain(wanted),), _plain(shown), is_denied))
        return True

    def _with_as(self, clause: str) -> str:
        """``white is pink`` as ``white as pink``; nothing where one of them is no colour, or a colour is just black."""
        ends = [_plain(end) for end in _IS.split(clause.strip(" .!"))]
        ends = [end.removeprefix("the") for end in ends]
        if len(ends) != 2 or (ends[0] in self.colours and ends[1] == "black"):
            return ""
        return (
            f"{ends[0]} as {ends[1]}"
            if all(end in COLOUR_NAMES or end.startswith("#") for end in ends)
            else ""
        )

    def _phrases(self, said: Sequence[Said]) -> None:
        """Colours and what is said of them, in turns; what is said before a colour is of that colour."""
        about: list[Said] = []
        words: list[Said] = []
        # "weak red and green" goes on after its colours, "red and green weak" before them.
        is_word_first = False
        for each in said:
            is_about = each.word.startswith("colour ") or each.word in (_ALL, _REST, _SHAPES)
            if each.word in (_WARM, _NOT_WARM, _LAYER, "<every layer>", _ONLY_COLOURS):
                self._beside(each)
            elif is_about and about and any(w.word == "mixed" for w in words):
                pass  # "red mixed with green" is about red.
            else:
                if about and words and is_about != is_word_first:
                    self._of(about, words)
                    about, words = [], []
                if not about and not words:
                    is_word_first = not is_about
                (about if is_about else words).append(each)
        if about or words:
            self._of(about, words)

    def _beside(self, said: Said) -> None:
        """When and where it is so."""
        if said.word == _ONLY_COLOURS:
            self.found.append(Observation("shapes", (), "right", said.is_denied))
        elif said.word in (_WARM, _NOT_WARM):
            if said.is_denied:
                raise self._refused(
                    "is not clear", "write when warm, or warm or cold where that makes no difference"
                )
            self.found.append(Observation("warmth", (), "changes", said.word == _NOT_WARM))
        else:
            if said.is_denied and "one" not in said.text:
                raise self._refused("is not clear", "write only one layer, or all layers")
            self.found.append(Observation("layer", (), "one", said.is_denied or said.word == "<every layer>"))

    def _of(self, about: Sequence[Said], words: Sequence[Said]) -> None:
        if not about and self.last and all(w.is_denied for w in words):
            about = self.last  # "red weak, not missing"
        self.last = about
        if not about:
            raise self._refused(
                "does not say of which colour",
                f"name it: {self.colours[0] if self.colours else 'red'} {words[0].text}; or say all {words[0].text}",
            )
        if any(each.word == _SHAPES for each in about):
            self._shapes(about, words)
            return
        denied = [each for each in about if each.is_denied]
        if denied and (
            words or _NOT.search(self.text) or len(denied) not in (1, len(about)) or not about[0].is_denied
        ):
            raise self._refused("is not clear", "write a colour and what it does: red missing, green fine")
        said = [Said("missing", False, "no")] if denied else list(words)
        names = self._named(about)
        if any(each.word == _REST for each in about):
            self.rest = said
        self._say(names, said)

    def _named(self, about: Iterable[Said]) -> list[str]:
        if any(each.word == _ALL for each in about):
            return list(self.colours)
        return [each.word.removeprefix("colour ") for each in about if each.word.startswith("colour ")]

    def _say(self, colours: Sequence[str], words: Sequence[Said]) -> None:
        known = [w for w in words if not w.word.startswith("<")]
        if len(known) != len(words) or not words:
            raise self._refused("is no word for what a colour does", _FIX)
        word = one_word(known, self.text, "is no word for what a colour does", _FIX)
        self.found += [Observation("seen", (c,), word.word, word.is_denied) for c in colours]

    def _shapes(self, about: Sequence[Said], words: Sequence[Said]) -> None:
        fix = "write shapes right or shapes broken"
        if any(each.is_denied or each.word != _SHAPES for each in about) or not words:
            raise self._refused("does not say how the shapes are", fix)
        texts = " ".join(("not " if w.is_denied else "") + w.text for w in words)
        said = one_word(
            _SHAPES_RIGHT.said(texts, "is no word for shapes", fix), self.text, "is no word for shapes", fix
        )
        # One of two: what is not right is broken.
        word = said.word if not said.is_denied else "broken" if said.word == "right" else "right"
        self.found.append(Observation("shapes", (), word))


def _plain(colour: str) -> str:
    return re.sub(r"[\s\"'-]+", "", colour.lower())
