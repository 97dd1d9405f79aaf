"""Files that are too much, work that takes too long, an engine that dies: a sentence, and the page goes on."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from tests.boards import NETLISTS
from tests.browser.web.conftest import Start, choose, demo, said
from tracer.web.desk import LARGEST_FILE

FUZZED = Path(__file__).parents[2] / "cases" / "fuzz"


def test_a_file_of_50_megabytes_is_refused_with_a_sentence(start: Start, tmp_path: Path) -> None:
    file = tmp_path / "huge.net"
    with file.open("wb") as big:
        big.write((NETLISTS / "wren" / "wren.net").read_bytes())
        big.truncate(50 << 20)
    page = start()
    choose(page, file)
    assert said(page) == "No board is among these files."
    assert "huge.net: it holds 50 MB; in a browser up to 40 MB are read" in page.inner_text("#file-list")
    demo(page, "wren")


def a_large_netlist(file: Path, megabytes: int) -> None:
    """A table of that size that is read for a long time."""
    with file.open("w", encoding="utf-8") as out:
        out.write("part,pin,net\n")
        number = 0
        while out.tell() < megabytes * 1_000_000:
            out.writelines(
                f"U{number + k},{pin},N{number + k * 7 + pin}\n" for k in range(1000) for pin in range(1, 15)
            )
            number += 1000
    assert file.stat().st_size < LARGEST_FILE


def test_work_that_takes_long_can_be_stopped(start: Start, tmp_path: Path) -> None:
    file = tmp_path / "large.csv"
    a_large_netlist(file, 30)
    page = start()
    choose(page, file)
    page.wait_for_selector("#stop:visible")
    page.get_by_text("1 s").wait_for()
    # The page is alive meanwhile.
    page.click("[data-view=beep]")
    page.click("#stop")
    page.wait_for_selector("body[data-is=ready]")
    page.click("[data-view=board]")
    assert said(page) == "stopped"
    demo(page, "dunlin")


def test_what_broke_a_reader_once_is_answered(start: Start) -> None:
    """The inputs that the fuzzing found; the engine answers them all and never has to be started anew."""
    page = start()
    inputs = sorted(FUZZED.glob("*/*.gz"))
    assert len(inputs) >= 9
    for path in inputs:
        said = page.evaluate(
            """async ([name, bytes]) => {
              const { engine } = window.rgbroots, worker = engine.worker;
              engine.lay({ files: [{ name, file: new Blob([new Uint8Array(bytes)]) }], demo: null });
              let said = "read";
              try { await engine.ask({ do: "map", board: { files: [name] } }); } catch (error) { said = error.kind; }
              return worker === engine.worker ? said : "started anew";
            }""",
            [f"{path.parent.name}.net", list(gzip.decompress(path.read_bytes()))],
        )
        assert said in ("read", "NetlistError", "ColourPinError", "UsageError"), (path.name, said)
    demo(page, "wren")


def test_a_board_that_is_stopped_is_traced_the_second_time(start: Start) -> None:
    """The new engine is given the same files."""
    page = start()
    choose(page, NETLISTS / "dunlin" / "dunlin.net")
    page.wait_for_selector("#map .map")
    page.evaluate("window.rgbroots.engine.stop()")
    page.click("[data-view=wrong]")
    page.wait_for_selector("iframe.wrong")


def test_an_engine_that_dies_is_started_anew(start: Start) -> None:
    page = start()
    page.fill("#notes", "U9 is 82S123\n")
    demo(page, "wren")
    page.evaluate("window.rgbroots.engine.heard({ failed: 'RuntimeError: unreachable' })")
    page.wait_for_selector("body[data-is=ready]")
    page.click("[data-view=card]")
    page.wait_for_selector("iframe.card")
    demo(page, "dunlin")


@pytest.mark.parametrize(
    "question", ["{}", '{"do": "nothing of the kind"}', "not JSON", '{"do": "map", "board": {"files": 7}}']
)
def test_a_question_that_is_none_gets_an_answer(start: Start, question: str) -> None:
    page = start()
    got = page.evaluate(
        """question => new Promise(done => {
          const { engine } = window.rgbroots, before = engine.worker.onmessage;
          engine.waiting.set("x", { resolve: done, reject: (error) => done(error.message) });
          engine.worker.postMessage({ id: "x", question });
        })""",
        question,
    )
    assert got
    demo(page, "wren")


def test_nothing_can_be_fetched_from_the_page_or_from_beside_it(start: Start) -> None:
    """The policy forbids it even where there is a network (W3C, Content Security Policy Level 3, connect-src)."""
    page = start(refused="Content Security Policy")
    page.context.set_offline(False)
    refused = page.evaluate(
        """async () => {
          const heard = [];
          document.addEventListener("securitypolicyviolation", (event) => heard.push(event.effectiveDirective));
          try { await fetch("index.html"); } catch { heard.push("refused"); }
          const worker = new Worker(URL.createObjectURL(new Blob(["fetch(" + JSON.stringify(location.href) + ").then(() => postMessage('fetched'), () => postMessage('refused in a worker'))"])));
          heard.push(await new Promise((done) => { worker.onmessage = (event) => done(event.data); }));
          return heard;
        }"""
    )
    assert "refused" in refused
    assert "connect-src" in refused
    assert "refused in a worker" in refused


def test_beside_the_page_the_policy_holds_from_the_second_visit_on_too(start: Start) -> None:
    """Then the worker is a file that the service worker gives, with the policy."""
    page = start()
    with page.expect_response("**/worker.js") as waited:
        page.reload()
    assert waited.value.from_service_worker
    assert "connect-src 'none'" in waited.value.headers["content-security-policy"]
    page.wait_for_selector("body[data-is=ready]")


def test_where_the_browser_keeps_no_pages_it_works_and_says_so(start: Start) -> None:
    page = start(
        is_kept=False,
        before="ServiceWorkerContainer.prototype.register = () => Promise.reject(new DOMException('no', 'SecurityError'));",
    )
    page.wait_for_selector("body[data-is=ready]")
    page.context.set_offline(True)
    demo(page, "wren")
    assert (
        page.inner_text("#offline")
        == "This browser does not keep the page: it needs its network again next time."
    )


def test_a_browser_in_which_it_cannot_start_is_told(start: Start) -> None:
    page = start(
        is_kept=False,
        before="window.Worker = class { postMessage() {} terminate() {} constructor() { setTimeout(() => this.onmessage({ data: { failed: 'WebAssembly is not there' } })); } };",
    )  # fmt: skip
    page.wait_for_selector("body[data-is=failed]")
    assert page.inner_text("#state").startswith(
        "The program cannot start in this browser: WebAssembly is not there. A newer one may do"
    )


def test_a_board_that_is_chosen_meanwhile_is_the_one_that_is_shown(start: Start, tmp_path: Path) -> None:
    picture = tmp_path / "scan.png"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(60))
    page = start()
    page.set_input_files("#files", str(NETLISTS / "plover" / "plover.net"))
    page.set_input_files("#files", str(picture))
    assert said(page) == "No board is among these files."
    page.wait_for_timeout(1500)
    assert page.locator("#map .map").count() == 0
    assert page.locator("[data-view=map]").is_disabled()


def test_the_page_is_opened_anew_without_its_server(start: Start, address: str) -> None:
    page = start(390, 844)
    assert page.evaluate("navigator.onLine") is False
    page.close()
    page = page.context.new_page()
    page.goto(address)
    page.wait_for_selector("body[data-is=ready]")
    demo(page, "plover")
