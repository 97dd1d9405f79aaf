"""A marking -> its type, for the leg table of `rgbroots part`."""

from __future__ import annotations

from dataclasses import dataclass

from tracer.parts.library import Library
from tracer.parts.marking import Marking, nearest_types, read_marking
from tracer.parts.model import PartType

__all__ = ["LookedUp", "look_up"]


@dataclass(frozen=True)
class LookedUp:
    """What was made of a marking.

    Attributes
    ----------
    marking : Marking
    type : PartType or None
    guesses : tuple of str
        Nearest type names when there is no type.
    """

    marking: Marking
    type: PartType | None
    guesses: tuple[str, ...] = ()


def look_up(text: str, library: Library) -> LookedUp:
    """Understand a marking; a type's own name is understood as itself, a package behind it chooses its numbers.

    >>> [look_up(t, Library()).type.by_number["45"].name for t in ("7130", "7130 PLCC52")]
    ['/RBUSY', 'RA0']
    """
    bare, _, package = text.strip().rpartition(" ")
    if bare and package:
        usual = look_up(bare, library)
        for other in usual.type.other_packages if usual.type else ():
            if other.package == package.upper().replace("-", "") or other.package == package.upper():
                return LookedUp(usual.marking, other)
    marking = read_marking(text)
    found = library.find(text.strip())
    if found is None and marking.type is not None:
        found = library.find(marking.type)
    if found is not None:
        return LookedUp(marking, found)
    return LookedUp(marking, None, nearest_types(text, library.names()))
