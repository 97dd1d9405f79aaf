"""What follows from a value and is asked for by many: computed once, kept with the value."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from inspect import signature
from typing import Concatenate, ParamSpec, Protocol, TypeVar, cast

__all__ = ["Keeper", "once"]


class Keeper(Protocol):
    """A value that keeps what was computed from it; what is kept is no part of the value."""

    @property
    def kept(self) -> dict[object, object]:
        """By function and arguments."""


_K = TypeVar("_K", bound=Keeper)
_P = ParamSpec("_P")
_R = TypeVar("_R")


def once(function: Callable[Concatenate[_K, _P], _R]) -> Callable[Concatenate[_K, _P], _R]:
    """Let a function of a `Keeper` compute each of its results once.

    The further arguments must be hashable; one that is left out is the same as its default. What the function gives is
    shared by all who ask, so it must be a value that nobody changes.

    >>> class Board:
    ...     kept = {}
    >>> @once
    ... def weigh(board, ohm=75.0):
    ...     print("computing")
    ...     return 2 * ohm
    >>> weigh(Board()), weigh(Board(), ohm=75.0)
    computing
    (150.0, 150.0)
    """
    shape = signature(function)

    @wraps(function)
    def kept(keeper: _K, /, *args: _P.args, **kwargs: _P.kwargs) -> _R:
        bound = shape.bind(keeper, *args, **kwargs)
        bound.apply_defaults()
        key = (function, *list(bound.arguments.values())[1:])
        if key not in keeper.kept:
            keeper.kept[key] = function(keeper, *args, **kwargs)
        return cast(_R, keeper.kept[key])

    return kept
