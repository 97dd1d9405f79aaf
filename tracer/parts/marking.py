"""What is printed on a chip -> the name of its type: ``SN74LS273N`` -> ``74x273``.

A marking has letters of the maker, a number, and letters and digits for speed,
power and package. The number decides; the maker's letters decide where two
makers gave one number to two chips (HM6116, HM7611; TMS4016, CD4016). All rules
are rows of ``data/markings.toml``, each with its source; the order is:

1. Soviet and East German numbers (К555ЛА3, DL374D);
2. the 74 and 54 numbering in any family (``74x273``), with its PROMs (74S287);
3. rows of numbers: memories, PROMs, programmable logic, CMOS;
4. the 74 numbering without the 74 (``LS273``).

Two numbers in one marking (``74LS373/374``) and a number that no row has are
not read: a near number is never taken. Several whole names are read where they
stand apart and all that are known name one type: ``SN7486N (К155ЛП5)``,
``74LS166(ИР10)``, with the Soviet letters for the function alone.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import lru_cache

from tracer.parts.marking_rules import TO_LATIN, Row, Rules, marking_rules

__all__ = ["Marking", "nearest_types", "read_marking"]


@dataclass(frozen=True, slots=True)
class Marking:
    """A marking and what was read in it.

    Attributes
    ----------
    text : str
        As given.
    type : str or None
        Name of the type as the part library writes it; the library may lack it. None: not understood.
    family : str or None
        ``LS``, ``HC``; ``std`` is the plain 74 series; ``NMOS``, ``CMOS``, ``EPROM``, ``PAL``, ``4000`` and so on.
        None where the marking does not say (``74xx245``).
    understood : tuple of str
        Short sentences for people, one for each piece of the marking; also why a number is not read.
    """

    text: str
    type: str | None
    family: str | None
    understood: tuple[str, ...]


#: Families whose makers agree on the letters of packages.
_PLAIN_PACKAGES = frozenset({"NMOS", "CMOS", "EPROM", "S", "TTL"})
#: Fewer digits make no number that another could be near to.
_FEWEST_DIGITS = 3
#: Share of letters alike (difflib's ratio) from which a name is worth showing; tried on misread markings.
_ALIKE = 0.65
_DASHES = str.maketrans(
    dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-") | {"\u00b5": "u", "\u03bc": "u"}
)
_LOOKALIKES = str.maketrans("ABEKMHOPCT", "АВЕКМНОРСТ")
_CYRILLIC = re.compile("[\u0410-\u042f]")
_SOVIET = r"E?K?[RMFNSB]{0,2}([0-9]{3,4})-?([A-Z]{2})-?([0-9]{1,2})[A-Z\u0410-\u042f]{0,2}[0-9]?"
#: Letters of a marking, and of one with several names, beyond which it is no marking.
_MOST_LETTERS = 40
_MOST_TOGETHER = 120
#: A remark in brackets, apart from the name: at its end, or with a blank before what follows.
_BRACKETS = re.compile(r"[(\[{]([^()\[\]{}]*)[)\]}](?=\s|$|[(\[{])")
_ALL_IN_BRACKETS = re.compile(r"\s*[(\[{]((?:[^()\[\]{}]|[(\[{][^()\[\]{}]*[)\]}])*)[)\]}]\s*")
_BETWEEN_NAMES = re.compile(r"\s*[/=,;|]\s*|\s+")


def read_marking(text: str) -> Marking:
    """Read the marking of a chip. Case, blanks and kinds of dash do not matter.

    Parameters
    ----------
    text : str
        A marking, or the value or symbol's name of a drawing (``74xx:74LS245``).

    Notes
    -----
    Never raises. Of resistors, transistors and other parts that are no chips of these rules the type is None.

    Examples
    --------
    >>> [read_marking(t).type for t in ("SN74LS273N", "HM6116LP-3", "TBP24S10N", "470", "74LS373/374")]
    ['74x273', '6116', '82S129', None, None]
    >>> read_marking("SN74LS273N").understood[:3]
    ('SN: Texas Instruments', '74: commercial temperature range', 'LS: low-power Schottky TTL')
    """
    type_, family, understood = _read(text)
    return Marking(text, type_, family, understood)


_Found = tuple[str | None, str | None, tuple[str, ...]]


@lru_cache(maxsize=1024)
def _read(text: str) -> _Found:
    text = unicodedata.normalize("NFKC", text) if len(text) <= _MOST_TOGETHER else ""
    if (whole_inside := _ALL_IN_BRACKETS.fullmatch(text)) is not None:
        return _read(whole_inside[1])
    inside = [i.strip() for i in _BRACKETS.findall(text)]
    if any(inside):
        outside = [o for o in map(str.strip, _BRACKETS.sub("\n", text).split("\n")) if o]
        return _of_names([*outside, *filter(None, inside)])
    whole = _read_one(text)
    names = [] if whole[0] else [n for n in _BETWEEN_NAMES.split(text) if n]
    if len(names) > 1 and all(_read_one(n)[0] or _soviet_function(n) for n in names):
        together = _of_names(names)
        return together if together[0] or not whole[2] else whole
    if whole[0] is None and not whole[2] and (code := _soviet_function(text)) is not None:
        why = f"{text.strip()}: the function {code} in the TTL series, another in CMOS; write the series too (К555...)"
        return None, None, (why,)
    return whole


def _read_one(text: str) -> _Found:
    """A marking with one name."""
    clean = _clean(text)
    if not 2 < len(clean) < _MOST_LETTERS:
        return None, None, ()
    rules = marking_rules()
    found = (reader(clean, rules) for reader in (_soviet, _logic, _numbered, _short))
    return next((f for f in found if f is not None), (None, None, ()))


def _of_names(names: list[str]) -> _Found:
    """Several names of one chip: what is known of them decides, and must agree; the first gives the family."""
    rules = marking_rules()
    found = [(name, _read_one(name)) for name in names]
    for name, (type_, _, said) in found:
        # A package with other legs and a second number hold for the whole; a number of two chips, another name tells.
        if (refused := _refused(_clean(name), rules, numbers=False)) is not None:
            return refused
        if type_ is None and said and said[0].split(":")[0] not in rules.unclear:
            return None, None, said
    first = next(((n, f) for n, f in found if f[0]), None)
    if first is None:
        return next((f for _, f in found if f[2]), (None, None, ()))
    first_name, (type_, family, said) = first
    more: list[str] = []
    for name, (other, _, _) in found:
        code = None if other else _soviet_function(name)
        if code is not None and (soviet := _logic_type(family, code, rules, [], "")) is not None:
            other = soviet[0]
        digits = re.fullmatch(r"\W*([0-9]{2,})\W*", name)
        if (
            (digits and digits[1] not in (*rules.unclear, str(type_).removeprefix("74x")))
            if other is None
            else other != type_
        ):
            return (
                None,
                None,
                (f"{name}: not the {type_} that {first_name} is; write the one that is fitted",),
            )
        if name != first_name:
            more.append(f"{name}: {'the same type' if other else 'a remark'}")
    return type_, family, (*said, *more)


def _soviet_function(text: str) -> str | None:
    """The number in the 74 series of Soviet letters for a function that stand alone, in Cyrillic: ``ИР10`` -> 166."""
    clean = _clean(text)
    if not _CYRILLIC.search(clean):
        return None
    return marking_rules().soviet_letters.get(clean.translate(_LOOKALIKES).translate(TO_LATIN))


def _clean(text: str) -> str:
    """Upper case without blanks; one kind of dash; the micro sign, Greek mu and u are one letter."""
    pieces = ["".join(piece.split()) for piece in text.split(":")]
    last = next((p for p in reversed(pieces) if len(p) > 2), "")  # 74xx:74LS245, 74LS00:A
    folded = last.casefold().translate(_DASHES)
    return folded.upper().strip("-_.,*\"'")


def _logic(text: str, rules: Rules) -> _Found | None:
    match = rules.logic_form.fullmatch(text)
    if match is None:
        return None
    letters, range_, mark, number, tail = (
        match[g] or "" for g in ("maker", "range", "family", "number", "tail")
    )
    if not mark and len(tail) > 1 and tail in rules.families:  # 7451LS
        mark, tail = tail, ""
    wildcard = mark.startswith(("X", "*", "_"))
    family = None if wildcard else mark or "std"
    if not wildcard and len(mark) < 2 and letters:
        allowed = rules.data["logic"]["makers" if mark else "std_makers"].split()
        if letters not in allowed:
            return None
    # Standard TTL has two or three digits; a bare 54123 may be anything, so 54 wants a maker's letters.
    if family == "std" and not (number.isdecimal() and len(number) < 4 and (range_ == "74" or letters)):
        return None
    said = [_maker(letters, rules)] if letters else []
    said.append(f"{range_}: {'military' if range_ == '54' else 'commercial'} temperature range")
    if family is None:
        said.append(f"{mark}: the family is not given")
    else:
        said.append(
            f"{mark}: {rules.families[family]}" if mark else f"no letters after {range_}: standard TTL"
        )
    return _logic_type(family, number, rules, said, tail)


def _short(text: str, rules: Rules) -> _Found | None:
    match = rules.short_form.fullmatch(text)
    if match is None:
        return None
    family, number = match["family"], match["number"]
    known = rules.data["logic"]["short_numbers"].get(family)
    if known is not None and (number not in known.split() or match["tail"]):
        return None
    said = ["74 left out", f"{family}: {rules.families[family]}"]
    return _logic_type(family, number, rules, said, match["tail"])


def _logic_type(family: str | None, number: str, rules: Rules, said: list[str], tail: str) -> _Found | None:
    if len(number) > 2 and number.startswith("0"):
        return None
    prom = (
        rules.data["logic"]["proms"].get(number)
        if family == "S" or (family, number) == ("std", "188")
        else None
    )
    name = prom or f"74x{number}"
    sentence = (
        f"{number}: a PROM with the legs of {prom}" if prom else f"{number}: the number of the function"
    )
    for row in rules.data["logic"]["own"]["legs"]:
        if row["number"] == number and (family is None or family in row["families"].split()):
            name = row.get("type", f"74{family}{number}") if family else name
            why = row["why"] if family else f"other legs in the families {row['families']}; check"
            sentence = f"{number}: {why}"
    if (refused := _refused(tail, rules)) is not None:
        return refused
    said += [sentence, *_package(tail, rules.data["packages"]["logic"])]
    return name, family, tuple(said)


def _numbered(text: str, rules: Rules) -> _Found | None:
    dashed = re.sub(r"^(HM)[0-9]?-(?=[0-9]{3})|^([A-Z]{2,6})-(?=[0-9]{2})", r"\1\2", text)
    for end in range(min(len(dashed), 16), 2, -1):
        head = dashed[:end]
        tail = None if dashed[end : end + 1].isdecimal() else rules.number_tail.fullmatch(dashed, end)
        if tail is None:
            continue
        if (why := rules.unclear.get(head)) is not None:
            return None, None, (f"{head}: {why}",)
        if (row := rules.exact.get(head)) is not None:
            return _row_type(row, "", head, tail, rules)
        for start in range(7):
            for row in rules.numbers.get(head[start:], ()):
                if start == 0 or head[:start] in row.makers:
                    return _row_type(row, head[:start], head[start:], tail, rules)
    return None


def _row_type(row: Row, letters: str, number: str, tail: re.Match[str], rules: Rules) -> _Found:
    if (refused := _refused(tail[0], rules)) is not None:
        return refused
    name = row.type.replace("=", number)
    said = [_maker(letters, rules)] if letters else []
    if not letters and (own := re.match(r"[A-Z]{2,}", number)) and own[0] in rules.data["makers"]:
        said.append(_maker(own[0], rules))
    said.append(f"{number}: the number" if name == number else f"{number}: legs of {name}")
    if row.note:
        said.append(row.note)
    said += _package(tail["code"], rules.data["packages"]["memory"] if row.family in _PLAIN_PACKAGES else {})
    if rest := tail["rest"].lstrip("-_.,"):
        meaning = "speed grade" if rest.isdecimal() else "speed, range or package; does not change the type"
        said.append(f"{rest}: {meaning}")
    return name, row.family, tuple(said)


def _soviet(text: str, rules: Rules) -> _Found | None:
    if german := re.fullmatch(r"DL([0-9]{3})D[A-Z]?", text):
        number = german[1].removeprefix("0")
        said = ["DL: RFT (East Germany)", f"DL: {rules.families['LS']}"]
        return _logic_type("LS", number, rules, said, "")
    if _CYRILLIC.search(text):
        text = text.translate(_LOOKALIKES)
    match = re.fullmatch(_SOVIET, text.translate(TO_LATIN))
    if match is None:
        return None
    series, letters, number = match[1], match[2], match[3]
    if (whole := rules.soviet_whole.get(series + letters + number)) is not None:
        return whole[0], whole[1], (f"{series}{letters}{number} in Latin letters: legs of {whole[0]}",)
    family, code = rules.data["soviet"]["series"].get(series), rules.soviet_letters.get(letters + number)
    if family is None or code is None:
        return None
    said = [f"{series}: {rules.families[family]}", f"{letters}{number} in Latin letters: function {code}"]
    return _logic_type(family, code, rules, said, "")


def _refused(tail: str, rules: Rules, numbers: bool = True) -> _Found | None:
    """Why no type is named after all: a package with other legs than the DIP, or a second number in the tail."""
    words = rules.data["packages"]["other_legs"]
    said = [f"{word}: {words[word]}; declare the pins" for word in words if word in tail]
    for start in range(len(tail) if numbers and sum(c.isdecimal() for c in tail) > 1 else 0):
        rest = tail[start:]
        if any(
            (found := reader(rest, rules)) and found[0] for reader in (_soviet, _logic, _numbered, _short)
        ):
            said.append(f"{rest}: a second number in one marking")
    return (None, None, tuple(said[:1])) if said else None


def _maker(letters: str, rules: Rules) -> str:
    return f"{letters}: {rules.data['makers'].get(letters, 'letters of the maker')}"


def _package(tail: str, known: Mapping[str, str]) -> list[str]:
    """Sentences for the letters after a number: the longest known package at their end, the rest before it."""
    code = re.split(r"[-_/.,(+#]", tail)[0]
    for start in range(len(code)):
        before = code[:start]
        if code[start:] in known and re.fullmatch("[ABCHLS]{0,3}", before):
            meaning = {"": [], "L": ["L: low power"]}.get(before, [f"{before}: revision, speed or power"])
            return [*meaning, f"{code[start:]}: {known[code[start:]]}"]
    return [f"{code}: does not change the type"] if code else []


def nearest_types(text: str, known: Iterable[str], count: int = 4) -> tuple[str, ...]:
    """The `count` known type names most like a marking that was not understood, best first; guesses for people.

    >>> nearest_types("74LS237", ["74x273", "74x373", "6116", "74x138"], 2)
    ('74x273',)
    """
    return _nearest(_clean(text), tuple(known))[:count]


@lru_cache(maxsize=256)
def _nearest(clean: str, known: tuple[str, ...]) -> tuple[str, ...]:
    """All names alike enough, best first; of two equally alike the one with more letters in the same place."""
    digits = max(re.findall("[0-9]+", clean), key=len, default="")
    if len(digits) < _FEWEST_DIGITS:
        return ()
    forms = {clean, re.sub(r"^[A-Z]{1,5}(?=[0-9])", "", clean), (_read(clean)[0] or clean).upper()}
    if match := marking_rules().logic_form.fullmatch(clean):
        forms.add(f"74X{match['number']}")
    scored: dict[str, float] = {}
    for form in forms:
        matcher = SequenceMatcher(None, "", form)
        for name in known:
            matcher.set_seq1(name.upper())
            if min(matcher.real_quick_ratio(), matcher.quick_ratio()) < _ALIKE:
                continue
            if matcher.ratio() >= _ALIKE and _has_near_number(name, digits):
                in_place = sum(a == b for a, b in zip(name.upper(), form, strict=False))
                scored[name] = max(scored.get(name, 0.0), matcher.ratio() + in_place / 100)
    return tuple(sorted(scored, key=lambda name: (-scored[name], name)))


def _has_near_number(name: str, digits: str) -> bool:
    """Whether the number in a type's name differs from some digits in one place, or two places are exchanged."""
    number = max(re.findall("[0-9]+", name), key=len, default="")
    longer, shorter = sorted((number, digits), key=len, reverse=True)
    if len(longer) == len(shorter):
        differing = [i for i, (a, b) in enumerate(zip(number, digits, strict=True)) if a != b]
        return len(differing) <= 1 or sorted(number) == sorted(digits)
    one_left_out = {longer[:i] + longer[i + 1 :] for i in range(len(longer))}
    return len(longer) == len(shorter) + 1 and shorter in one_left_out and len(shorter) >= _FEWEST_DIGITS
