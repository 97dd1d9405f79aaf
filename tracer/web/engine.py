"""The one door of the page: a question as JSON text in, an answer as JSON text out; nothing is shown here.

A question is ``{"do": NAME, ...}`` with the arguments of a row of `_TASKS`. The answer is ``{"ok": ...}``, or
``{"error": {...}}`` with the sentence that the command line says. Whatever goes wrong is such an answer.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from tracer.base.demo_boards import DEMOS, demo_files
from tracer.base.errors import EmitError, TracerError, UsageError
from tracer.base.toml_numbers import NumberTables
from tracer.beeps.answers import doubts_of, facts_of_all, meant, parse_answers
from tracer.beeps.bench import set_up
from tracer.beeps.halfway import Halfway, look_halfway
from tracer.beeps.note_lines import fact_lines, with_answer, without_last
from tracer.beeps.rehearsal import undrawn
from tracer.beeps.weights import load_wiring
from tracer.bitmap import csv as map_as_csv
from tracer.card.html import pages_as_html
from tracer.card.make import make_card
from tracer.card.pages import lay_out
from tracer.card.words import title_text
from tracer.diagram.diagram import emit as draw
from tracer.diagram.layout import Layout, drawing_by
from tracer.export.netlists import notes as notes_form
from tracer.importers import parse_netlist
from tracer.netlist.board import PinRef
from tracer.page.report import report_text
from tracer.parts.library import Library, load_library
from tracer.tracing.told_pins import parse_told
from tracer.web.desk import LARGEST_FILE, NOTES_FILE, NOTES_FORM, Board, Desk
from tracer.web.shown import halfway_shown, map_shown

__all__ = ["Engine"]

Question = Mapping[str, Any]


@dataclass
class Engine:
    """Answers a page's questions about the files on its desk.

    Parameters
    ----------
    folder : Path
        For the files; the engine's alone.
    layout : callable or None
        Draws a Graphviz text; None where a program can be started.
    tell : callable
        Gets what is being done.
    """

    folder: Path
    layout: Layout | None = None
    tell: Callable[[str], None] = lambda _: None
    desk: Desk = field(init=False)
    _library: Library | None = None
    _wiring: NumberTables | None = None
    _halfway: tuple[object, Halfway] | None = None

    def __post_init__(self) -> None:
        self.desk = Desk(self.folder, lambda what: self.tell(what))
        self.desk.clear()

    def answer(self, question: str) -> str:
        """The answer to one question."""
        try:
            asked = json.loads(question)
            with drawing_by(self.layout):
                found = {"ok": _TASKS[asked["do"]](self, asked)}
        except TracerError as error:
            found = {"error": {"text": str(error), "kind": type(error).__name__}}
        except (MemoryError, RecursionError) as error:
            found = {"error": {"text": _TOO_LARGE, "kind": type(error).__name__}}
        except Exception as error:
            # Whatever it is: a page that says so goes on, one that dies loses what was typed in it.
            said = f"this is a mistake of the program, not of the board: {type(error).__name__}: {error}"
            found = {"error": {"text": f"{said}\nfix: keep the file, and tell the makers", "kind": "bug"}}
        return json.dumps(found)

    # -- files ---------------------------------------------------------------------------------------

    def lay(self, name: str, content: bytes | None, size: int) -> None:
        """Lay a file on the desk; see `tracer.web.desk.Desk.lay`."""
        self.desk.lay(name, content, size)

    def start(self, _: Question) -> dict[str, Any]:
        """What the page says before anything is chosen."""
        demos = [{"name": demo.name, "what": demo.what} for demo in DEMOS]
        return {"demos": demos, "largest": LARGEST_FILE}

    def clear(self, _: Question) -> None:
        """Take all files from the desk."""
        self.desk.clear()

    def look(self, asked: Question) -> list[dict[str, Any]]:
        """What each file on the desk is."""
        self.tell("looking at the files")
        return [asdict(chosen) for chosen in self.desk.look(is_folder=bool(asked.get("is_folder")))]

    def demo(self, asked: Question) -> dict[str, Any]:
        """Lay a demo board's files on the desk; gives its part of a question about a board."""
        demo = next((d for d in DEMOS if d.name == asked["name"]), None)
        if demo is None:
            raise UsageError(f"there is no demo board called {asked['name']}", fix="choose one of the list")
        self.desk.clear()
        for name, content in demo_files(demo).items():
            self.desk.lay(name, content, len(content))
        return {"files": list(demo.files), "joins": list(demo.joins)}

    # -- the map and what follows from it --------------------------------------------------------------

    def map(self, asked: Question) -> dict[str, Any]:
        """The map, with its diagram or why there is none."""
        bit_map = self.desk.trace(_board(asked)).bit_map
        self.tell("drawing the diagram")
        try:
            drawn, why = str(draw(bit_map, "svg")), ""
        except EmitError as error:
            drawn, why = "", str(error)
        return {**map_shown(bit_map), "csv": map_as_csv.emit(bit_map), "svg": drawn, "no_svg": why}

    def report(self, asked: Question) -> str:
        """The board's page as HTML."""
        board = _board(asked)
        traced, (palette, why) = self.desk.trace(board), self.desk.palette(board)
        self.tell("computing levels and faults, drawing the page")
        return report_text(traced, traced.bit_map.load_ohm, palette, why)

    def card(self, asked: Question) -> str:
        """The bench card as HTML."""
        traced = self.desk.trace(_board(asked))
        self.tell("laying out the card")
        card = make_card(traced, traced.bit_map.load_ohm)
        return pages_as_html(lay_out(card, asked.get("paper") or "a4"), title_text(card))

    # -- beeping -------------------------------------------------------------------------------------

    def parts_as_notes(self, asked: Question) -> str:
        """A board's parts, places and colour pins as notes, without a connection: to beep it from the start."""
        board = _board(asked)
        netlist = self.desk.read(board)
        colours = set_up(netlist, self.desk.library(board), parse_told(list(board.pins))).colours
        return notes_form.write(undrawn(netlist, colours))

    def beep(self, asked: Question) -> dict[str, Any]:
        """What to touch next."""
        return halfway_shown(self._look(asked))

    def reply(self, asked: Question) -> dict[str, Any]:
        """Add what was answered to the notes, and say what to touch next; doubts are asked about before.

        `answer` is what a person types in the conversation of `rgbroots beep --ask`: ``U13.15``, ``15 33``, ``none`` ...
        """
        halfway = self._look(asked)
        search, word = halfway.search, str(asked["answer"])
        if search.choice is None:
            raise UsageError("nothing is left to touch", fix="take the last answer back, or see the map")
        if meant(word) == "skip":
            skipped = [*asked.get("skipped", ())]
            skipped += [[str(search.choice.held), str(leg)] for leg, _ in search.choice.legs]
            return {"notes": asked["notes"], "added": [], **self._next(asked, asked["notes"], skipped)}
        answers = parse_answers(word, search.choice, search)
        facts = facts_of_all(search.choice, answers)
        doubts = [] if asked.get("is_sure") else doubts_of(search, answers, facts)
        if doubts:
            return {"doubts": doubts}
        grown, _ = with_answer(_lines(asked), facts, search.bench.known.notes.touches if facts.struck else ())
        notes = "\n".join(grown) + "\n"
        return {
            "notes": notes,
            "added": fact_lines(facts),
            **self._next(asked, notes, asked.get("skipped", [])),
        }

    def undo(self, asked: Question) -> dict[str, Any]:
        """Take the last answer back."""
        kept, gone = without_last(_lines(asked))
        notes = "\n".join(kept) + "\n"
        return {"notes": notes, "gone": gone, **self._next(asked, notes, [])}

    def _next(self, asked: Question, notes: str, skipped: Sequence[Sequence[str]]) -> dict[str, Any]:
        following = {**asked, "notes": notes, "skipped": list(skipped)}
        return {"skipped": list(skipped), "next": halfway_shown(self._look(following))}

    def _look(self, asked: Question) -> Halfway:
        """The board half-way; what was looked at last is kept, as the answer is to that."""
        notes, skipped = str(asked["notes"]), [tuple(pair) for pair in asked.get("skipped", ())]
        told, parts = tuple(asked.get("pins", ())), tuple(asked.get("parts", ()))
        key = (notes, tuple(skipped), told, parts)
        if self._halfway is not None and self._halfway[0] == key:
            return self._halfway[1]
        self.tell("looking for the next touch")
        if self._library is None or self._wiring is None:
            self._library, self._wiring = load_library(), load_wiring()
        library = self.desk.library(Board(parts=parts)) if parts else self._library
        netlist = parse_netlist(notes, NOTES_FILE, format_name=NOTES_FORM)
        pairs = {(_pin(held), _pin(leg)) for held, leg in skipped}
        found = look_halfway(netlist, library, self._wiring, parse_told(list(told)), pairs)
        self._halfway = (key, found)
        return found


_TOO_LARGE = "it is too large for this browser\nfix: give the netlist alone, or use the program on a computer"
#: What a page may ask.
_TASKS: dict[str, Callable[[Engine, Question], Any]] = {
    "start": Engine.start,
    "clear": Engine.clear,
    "look": Engine.look,
    "demo": Engine.demo,
    "map": Engine.map,
    "report": Engine.report,
    "card": Engine.card,
    "parts_as_notes": Engine.parts_as_notes,
    "beep": Engine.beep,
    "reply": Engine.reply,
    "undo": Engine.undo,
}


def _board(asked: Question) -> Board:
    """The board that a question is about; what it does not tell is as on the command line."""
    told = asked.get("board", {})

    def words(key: str) -> tuple[str, ...]:
        return tuple(map(str, told.get(key, ())))

    return Board(
        words("files"), words("joins"), words("markings"), words("pins"), str(told.get("load", "")),
        words("parts"), str(told.get("encoding", "")), words("contents"), str(told.get("notes", "")),
    )  # fmt: skip


def _lines(asked: Question) -> list[str]:
    """The notes of a question, line by line."""
    return str(asked["notes"]).rstrip("\n").split("\n")


def _pin(word: str) -> PinRef:
    part, _, pin = word.rpartition(".")
    return PinRef(part, pin)
