"""Somebody before a board's page: what is tapped there, and what is then seen."""

from __future__ import annotations

from typing import Generic, TypeVar

from playwright.sync_api import Frame, Locator, Page

__all__ = ["Person", "case_of_the_readme"]

#: A page in a window of its own, or in another page.
Shown = TypeVar("Shown", Page, Frame)


class Person(Generic[Shown]):
    """Taps, and counts them."""

    def __init__(self, page: Shown) -> None:
        self.page: Shown = page
        self.taps = 0

    def tap(self, at: Locator) -> None:
        at.tap()
        self.taps += 1

    def screen(self, word: str) -> None:
        """Says what the colour that is asked for does."""
        self.tap(
            self.page.locator("#ask-screen .grid button")
            .filter(has=self.page.get_by_text(word, exact=True))
            .first
        )

    def answer(self, word: str) -> None:
        self.tap(
            self.page.locator("#ask-next .grid button").filter(has=self.page.get_by_text(word, exact=True))
        )

    def button(self, name: str) -> None:
        self.tap(self.page.get_by_role("button", name=name).first)

    @property
    def next(self) -> str:
        return self.page.inner_text("#h-next")

    @property
    def suspects(self) -> list[str]:
        return self.page.locator(".suspects summary").all_inner_texts()

    @property
    def lit(self) -> set[str]:
        """The legs that are marked on the drawings of what comes next."""
        found = set()
        for figure in self.page.locator("#ask-next figure.chip").all():
            part = figure.locator("figcaption").inner_text().split()[0].rstrip(",")
            found |= {f"{part}.{n}" for n in figure.locator(".leg.on .no").all_text_contents()}
        return found


def case_of_the_readme(person: Person[Page] | Person[Frame]) -> None:
    """A dunlin whose red comes in half its steps, from the first tap to the cure."""
    person.screen("coarse")
    person.button("green and blue are fine")
    assert person.suspects[0].startswith("21% U9 6116 at 7D")
    assert person.next == "Next: Read U13 legs 3 4 8 9 14 15 18 19"
    assert person.lit == {f"U13.{n}" for n in (3, 4, 8, 9, 14, 15, 18, 19)}
    person.answer("floating")
    person.button("The other 7: pulsing")
    assert person.suspects[0].startswith("81% joint or contact at U9")
    assert person.next == "Next: Beep U9.16 to U13.14"
    assert person.lit == {"U9.16", "U13.14"}
    person.answer("no beep")
    assert "solder the joint at both ends" in person.page.inner_text("#ask-next .sure")
    assert "an iron burns" in person.page.inner_text("#ask-next .sure")
    person.button("Repaired: the picture is right")
    person.tap(person.page.locator("#was-it button").first)
    assert person.next == "Cured: joint or contact at U9 6116 at 7D, U9.16 to U13.14"
    assert "Cured when red shows all its steps" in person.page.inner_text("#ask-next")
    assert person.page.locator("#notes-text").is_visible()
