"""How long the looks before a ticket take a practised sorter at the screen, for a plain item.

    python tests/benchmarks/look_seconds.py

A real Chromium opens the Bench of each kind, and a mouse goes the shortest way that the page itself
offers: the link of what is missing where it is out of sight, the one tap for all that one look
answers, and one tap for each question beside it. The page's own log of events is counted into the
operators of the keystroke-level model; what the machine takes is measured in the same log. The
table is seconds at the screen alone: turning the item over is the sorter's work and no page's.

Notes
-----
Card, Moran and Newell 1980, Communications of the ACM 23(7), 396-410: K 0.20 s (an average skilled
typist; a button of the mouse counts as a key), P 1.10 s, M 1.35 s, R as the machine takes. M stands
before each answer (their rule 0) and not before the way to it, which the answer is known to need
(rule 1). The numbers were read in a university's page on the model, not in the paper itself.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, Locator, Page, sync_playwright
from werkzeug.serving import make_server

from resale.garments.rulebook.rule_book import load_rule_book
from resale.safety.required_looks import required_looks
from resale.web import create_app

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
from looked_over import FINE
from signed_in import session_cookie

BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run"]
KEY, POINT, MIND = 0.20, 1.10, 1.35
MOST = 8.0
WINDOWS = {"desk": (1280, 800), "phone": (390, 844)}
LOG = """() => {
  window.eventLog = [];
  const note = (what) => window.eventLog.push([what, performance.now()]);
  for (const name of ["pointerdown", "keydown", "wheel"])
    addEventListener(name, () => note(name), { capture: true });
  new MutationObserver(() => note("said")).observe(
    document.querySelector("#result") || document.body, { childList: true, subtree: true });
}"""


@dataclass(frozen=True)
class Looked:
    """One kind in one window.

    Attributes
    ----------
    answers, presses : int
        Answers that a person gives, and presses in the log: ways to an answer among them.
    waits : float
        Seconds until the page had said what the last press came to.
    """

    kind: str
    window: str
    answers: int
    presses: int
    waits: float

    @property
    def seconds(self) -> float:
        """What the model says, with what the machine took."""
        return self.answers * MIND + self.presses * (POINT + KEY) + self.waits


@contextmanager
def shop() -> Iterator[tuple[str, str]]:
    """Serve a fresh shop: its address and the owner's cookie."""
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Path(folder))
        server = make_server("127.0.0.1", 0, app, threaded=True)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.port}", session_cookie(app, "owner")
        server.shutdown()


def in_sight(page: Page, target: Locator) -> bool:
    """Whether the middle of something is on the screen and nothing lies over it."""
    return bool(
        target.evaluate(
            """(one) => {
              const box = one.getBoundingClientRect();
              const top = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
              return Boolean(top) && (one === top || one.contains(top) || top.contains(one));
            }"""
        )
    )


def press(page: Page, target: Locator) -> None:
    """Move the mouse onto something and press, as a hand does."""
    box = target.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2, steps=4)
    page.mouse.down()
    page.mouse.up()


def go_to(page: Page, target: Locator, way: Locator) -> None:
    """Bring something into sight by the page's own link, where it is not there already."""
    if not in_sight(page, target):
        press(page, way)
        page.wait_for_timeout(400)
    if not in_sight(page, target):
        page.mouse.wheel(0, target.bounding_box()["y"] - 200)
        page.wait_for_timeout(400)


def look_at(browser: Browser, address: str, cookie: str, kind: str, window: str) -> Looked:
    """Answer all that is required of a plain item, and count what the page saw of it."""
    width, height = WINDOWS[window]
    context = browser.new_context(
        viewport={"width": width, "height": height}, service_workers="block"
    )
    context.add_cookies([{"name": "resale", "value": cookie, "url": address}])
    page = context.new_page()
    page.goto(f"{address}/bench/{kind}")
    page.evaluate(LOG)
    asked = required_looks(load_rule_book().kinds[kind], {"kind": kind, "choices": {}, "looks": {}})
    one_by_one = [one for one in asked if not one.harmless]
    missing = page.locator("#next .unready a")
    tap = page.get_by_role("button", name="Looked at all of these")
    go_to(page, tap, missing.last)
    press(page, tap)
    for one in one_by_one:
        fine = FINE.get(one.id, one.answers[0][0])
        name = f"{'s' if one.is_signal else 'k'}-{one.id}"
        answer = page.locator(f'label:has(input[name="{name}"][value="{fine}"])')
        way = page.locator(f'#next .unready a[href="#sign-{one.id}"]')
        way.wait_for(state="attached")
        go_to(page, answer, way)
        press(page, answer)
    page.locator("#next .unready").wait_for(state="detached")
    log: list[tuple[str, float]] = page.evaluate("() => window.eventLog")
    context.close()
    pressed = [at for what, at in log if what in {"pointerdown", "keydown", "wheel"}]
    said = [at for what, at in log if what == "said"]
    waits = max(said[-1] - pressed[-1], 0) / 1000
    return Looked(kind, window, 1 + len(one_by_one), len(pressed), waits)


def looks() -> list[Looked]:
    """Look at a plain item of every kind in every window."""
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        raise SystemExit("No Chromium is installed.")
    with shop() as (address, cookie), sync_playwright() as player:
        browser = player.chromium.launch(executable_path=found, args=FLAGS)
        rows = [
            look_at(browser, address, cookie, kind, window)
            for window in WINDOWS
            for kind in load_rule_book().kinds
        ]
        browser.close()
    return rows


def table(rows: list[Looked]) -> str:
    """Write the rows as a table."""
    lines = ["| kind | window | answers | presses | page | seconds |", "|---|---|---|---|---|---|"]
    lines += [
        f"| {r.kind} | {r.window} | {r.answers} | {r.presses} | {r.waits:.2f} | {r.seconds:.1f} |"
        for r in rows
    ]
    return "\n".join(lines)


def main(argv: list[str] | None = None) -> int:
    """Print the table; 1 where a kind takes eight seconds or more."""
    parser = argparse.ArgumentParser(description="Seconds at the screen for the required looks.")
    parser.parse_args(argv)
    rows = looks()
    print(table(rows))
    return int(any(row.seconds >= MOST for row in rows))


if __name__ == "__main__":
    sys.exit(main())
