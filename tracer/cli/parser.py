"""What the command line is taken apart with: a mistake gets one sentence, the nearest word and what to do, as all others do."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from typing import Any, NoReturn

from tracer.base.names import nearest
from tracer.base.visible import visible
from tracer.cli.exit_codes import UNREADABLE

__all__ = ["Parser", "command_parsers"]


class Parser(argparse.ArgumentParser):
    """A parser whose mistakes read like those of files."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong with what was typed; the program ends with 2."""
        example = (self.epilog or "").partition("Example: ")[2].partition("\n")[0]
        self._refuse(
            message.removeprefix("argument "), f"{self.prog} --help has the options; for example {example}"
        )

    def _refuse(self, what: str, fix: str) -> NoReturn:
        print(f"{self.prog}: {visible(what)}\nfix: {fix}", file=sys.stderr)
        raise SystemExit(UNREADABLE)

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        """Refuse what is none of the words that an option or place takes; `argparse` calls it for each."""
        if action.choices is None or value in action.choices:
            return
        known = [str(choice) for choice in action.choices]
        what = "command" if isinstance(action, argparse._SubParsersAction) else action.metavar
        name = action.option_strings[-1] if action.option_strings else str(what).lower()
        self._refuse(f"{value} is no {name}", f"{nearest(value, known)}it is one of: {', '.join(known)}")

    def parse_args(  # type: ignore[override]
        self, args: Sequence[str] | None = None, namespace: argparse.Namespace | None = None
    ) -> argparse.Namespace:
        """What was typed; an option that no one knows is refused with the nearest that its command has."""
        found, left = self.parse_known_args(args, namespace)
        if left:
            parsers = command_parsers(self)
            own = parsers.get(str(getattr(found, "module", "")).rpartition(".")[2], self)
            own._unknown(next((word for word in left if word.startswith("-")), left[0]))
        return found

    def _unknown(self, word: str) -> NoReturn:
        option = word.partition("=")[0]
        known = sorted(self._option_string_actions)
        if not option.startswith("-"):
            self.error(f"{option} is more than it takes")
        self._refuse(
            f"there is no option {option}", f"{nearest(option, known)}{self.prog} --help has them all"
        )


def command_parsers(parser: argparse.ArgumentParser) -> dict[str, Parser]:
    """Command -> its own parser."""
    subparsers: Iterable[Any] = (a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
    return {name: own for each in subparsers for name, own in each.choices.items()}
