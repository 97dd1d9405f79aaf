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
    """Understand a marking; a type's own name is understood as itself."""
    marking = read_marking(text)
    found = library.find(text.strip())
    if found is None and marking.type is not None:
        found = library.find(marking.type)
    if found is not None:
        return LookedUp(marking, found)
    return LookedUp(marking, None, nearest_types(text, library.names()))
