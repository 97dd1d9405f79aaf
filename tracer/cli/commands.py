"""The commands and topics: a row each. What a command does is loaded when it is asked for.

Adding a command = one module ``tracer/cli/NAME.py`` with ``run(args) -> int`` (an exit code) + one row + its options in
`tracer.cli.options`.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["COMMANDS", "SHELLS", "TOPICS", "Command"]


@dataclass(frozen=True)
class Command:
    """One command of the program.

    Attributes
    ----------
    name : str
        As it is typed; its module is ``tracer.cli.NAME``.
    what : str
        One line for the list of commands.
    example : str
        The end of its help.
    """

    name: str
    what: str
    example: str

    @property
    def module(self) -> str:
        """Dotted name of the module that does it."""
        return f"tracer.cli.{self.name}"


COMMANDS: tuple[Command, ...] = (
    Command(
        "trace",
        "find which memory pin feeds which bit of which colour",
        "rgbroots trace dunlin.net -o dunlin",
    ),
    Command(
        "diagram",
        "draw the map: memory on the left, connector on the right",
        "rgbroots diagram dunlin.net -o dunlin.svg",
    ),
    Command("check", "say what is odd about a netlist or a saved map", "rgbroots check dunlin.net"),
    Command("part", "print the leg table of a chip's marking", "rgbroots part SN74LS273N"),
    Command("convert", "write a netlist in another form", "rgbroots convert dunlin.net -o dunlin.notes"),
    Command("beep", "say which pins of an undrawn board to beep next", "rgbroots beep board.notes --ask"),
    Command(
        "card",
        "write a card for the bench: table, chips with their legs, levels, where to probe",
        "rgbroots card dunlin.net -o card.pdf",
    ),
    Command(
        "levels",
        "compute the volts at the connector for every code, and what each leg should read",
        "rgbroots levels dunlin.net --load 470 --tolerance 5%",
    ),
    Command(
        "export",
        "write the walked circuit for other programs: a SPICE deck, GraphML, CSV, nets",
        "rgbroots export dunlin.net --spice -o dunlin.cir",
    ),
    Command(
        "mark",
        "copy a KiCad drawing, with the path of each colour in its colour",
        "rgbroots mark dunlin.kicad_sch -o marked",
    ),
    Command(
        "palette",
        "show the colours that dumps of the palette memories give, entry by entry",
        "rgbroots palette dunlin.net --contents U9=u9.bin --contents U10=u10.hex -o dunlin.svg",
    ),
    Command(
        "rehearse",
        "play the search by beeps on a drawn board and count the touches",
        "rgbroots rehearse dunlin.net --wrong 3% --seed 1",
    ),
    Command(
        "report",
        "write a board's page: what is wrong, by thumb; diagram, legs and palette, in one HTML file",
        "rgbroots report dunlin.net -o dunlin.html",
    ),
    Command(
        "suspect",
        "rank what can be wrong by what was seen and read, and say what to measure next",
        "rgbroots suspect dunlin.net --seen red=missing --seen green=flickers --seen blue=fine",
    ),
    Command(
        "demo", "list the demo boards that come with the program, or write them", "rgbroots demo -o demo"
    ),
    Command(
        "serve",
        "show the tracer in a browser, from a folder built for it, on this machine alone",
        "rgbroots serve site",
    ),
    Command(
        "completion",
        "print the script that completes commands, options and files in a shell",
        "rgbroots completion bash > ~/.local/share/bash-completion/completions/rgbroots",
    ),
    Command("help", "print a topic, or the help of a command", "rgbroots help notes"),
)

#: Topic -> what it is about.
TOPICS: dict[str, str] = {
    "notes": "the language of bench notes",
    "parts": "part types of your own",
    "formats": "what can be read and written",
    "colours": "how the colour pins are found, and how to tell them",
    "suspects": "the words for what you see and read",
    "json": "what programs can read",
    "exit": "what the exit codes mean",
    "limits": "where there is an end, and what is said there",
    "safety": "before you put a probe on anything",
}

#: What completion can be printed for.
SHELLS = ("bash", "zsh", "fish", "tcsh")
