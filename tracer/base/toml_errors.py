"""TOML of the user's files: what is wrong with it, and where."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from tracer.base.visible import visible

__all__ = ["BadToml", "load_toml"]


class BadToml(Exception):
    """Why a text is no TOML, and its line and column where they are known."""

    def __init__(self, what: str, line: int | None = None, column: int | None = None) -> None:
        super().__init__(what)
        self.what, self.line, self.column = what, line, column


def load_toml(text: str) -> dict[str, Any]:
    """The tables of a text; characters that cannot be seen stand in them as escapes.

    Raises
    ------
    BadToml
        It is no TOML, is nested deeper than Python's stack, or has a number of more than 4,300 digits.
    """
    try:
        found: dict[str, Any] = _shown(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        at = re.search(r"\(at line (\d+), column (\d+)\)", message)
        place = (int(at[1]), int(at[2])) if at else (None, None)
        raise BadToml(message.split(" (at ")[0], *place) from None
    except RecursionError:
        raise BadToml("its brackets are nested too deep") from None
    except ValueError:
        raise BadToml("a number in it has too many digits") from None
    return found


def _shown(value: Any) -> Any:
    if isinstance(value, str):
        return visible(value)
    if isinstance(value, list):
        return [_shown(item) for item in value]
    if isinstance(value, dict):
        return {visible(key): _shown(item) for key, item in value.items()}
    return value
