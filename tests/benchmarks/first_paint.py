"""How soon the Bench stands on the screen, beside an empty page of the same server, and its weight.

    python tests/benchmarks/first_paint.py [--kinds jacket,bag] [--rounds 9]

A real Chromium opens the Bench of a phone with nothing kept (cold) and once more (warm), by turns
with an empty page behind the same doors, and says when something was drawn first
(first-contentful-paint). Then the first answer is tapped, and the time runs until the next
question and its price are drawn. The weight is what came over the wire for the cold page, with
scripts and styles. Medians of the rounds; it ends with 1 where a budget is not kept.

Notes
-----
First contentful paint: W3C, Paint Timing; its clock begins with the going to the page. The budgets
(300 kB, 100 ms beside the empty page) are the project's own.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from resale.web import create_app

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
from look_seconds import BROWSERS, FLAGS, press
from own_server import start_own_server
from signed_in import session_cookie

KINDS, ROUNDS = "jacket,shirt,trousers,shoes,bag", 9
MOST_KB, MOST_MS = 300, 100
EMPTY = "<!doctype html><html lang=en><title>Empty</title><p>Empty</p>"
PAINT = """() => new Promise((tell) => new PerformanceObserver((seen, one) => {
  const first = seen.getEntriesByName("first-contentful-paint")[0];
  if (first) { one.disconnect(); tell(first.startTime); }
}).observe({ type: "paint", buffered: true }))"""
# From the finger's touch to the frame in which the answer stands.
ANSWER = """() => { window.drawn = new Promise((tell) => {
  let at = 0;
  addEventListener("pointerdown", () => { at = performance.now(); }, { capture: true });
  new MutationObserver(() => requestAnimationFrame(() => setTimeout(
    () => tell(performance.now() - at)))).observe(
    document.querySelector("#result"), { childList: true, subtree: true });
}); }"""


@dataclass
class Seen:
    """What was seen of one page, in milliseconds and kB."""

    cold: list[float] = field(default_factory=list)
    warm: list[float] = field(default_factory=list)
    answers: list[float] = field(default_factory=list)
    weight: float = 0.0


@contextmanager
def served() -> Iterator[tuple[str, str]]:
    """Serve a fresh shop whose first page is emptied: its address and the owner's cookie."""
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Path(folder))
        app.view_functions["bench.kinds"] = lambda: EMPTY
        yield start_own_server(app), session_cookie(app, "owner")


def look_at(browser: Browser, address: str, cookie: str, path: str, seen: Seen) -> None:
    """Open a page cold and warm, and answer its first question if it has one."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, service_workers="block")
    context.add_cookies(
        [
            {"name": name, "value": value, "url": address}
            for name, value in {"resale": cookie, "bench_way": "one"}.items()
        ]
    )
    page, sent = _page(context)
    page.goto(address + path)
    seen.cold.append(page.evaluate(PAINT))
    page.wait_for_load_state("networkidle")
    seen.weight = sum(sent) / 1000
    page.goto(address + path)
    seen.warm.append(page.evaluate(PAINT))
    if page.locator("#nothing-found").count():
        page.wait_for_load_state("networkidle")
        page.evaluate(ANSWER)
        press(page, page.locator("#nothing-found"))
        seen.answers.append(page.evaluate("() => window.drawn"))
    context.close()


def _page(context: BrowserContext) -> tuple[Page, list[float]]:
    """Open a blank page, with the list that what is sent to it is counted in."""
    page = context.new_page()
    sent: list[float] = []
    wire = context.new_cdp_session(page)
    wire.send("Network.enable")
    wire.on("Network.loadingFinished", lambda one: sent.append(one["encodedDataLength"]))
    return page, sent


def measured(kinds: list[str], rounds: int) -> tuple[Seen, dict[str, Seen]]:
    """Look at the empty page and at each kind's Bench, by turns."""
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        raise SystemExit("No Chromium is installed.")
    empty, benches = Seen(), {kind: Seen() for kind in kinds}
    with served() as (address, cookie), sync_playwright() as player:
        browser = player.chromium.launch(executable_path=found, args=FLAGS)
        for place in range(rounds + 1):
            look_at(browser, address, cookie, "/", empty)
            for kind, seen in benches.items():
                look_at(browser, address, cookie, f"/bench/{kind}", seen)
            if not place:
                # The first round warms the server, and does not count.
                empty, benches = Seen(), {kind: Seen() for kind in kinds}
        browser.close()
    return empty, benches


def main(argv: list[str] | None = None) -> int:
    """Print the table; 1 where a budget is not kept."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n")[0])
    asked.add_argument("--kinds", default=KINDS, help=f"with commas between; {KINDS} if left out")
    asked.add_argument("--rounds", type=int, default=ROUNDS, help="how often; the median counts")
    given = asked.parse_args(argv)
    empty, benches = measured(given.kinds.split(","), given.rounds)
    cold, warm = median(empty.cold), median(empty.warm)
    print(
        "| page | sent, kB | cold, ms | beside empty | warm, ms | beside empty | first answer, ms |"
    )
    print("|" + "---|" * 7)
    print(f"| empty | {empty.weight:.1f} | {cold:.0f} | | {warm:.0f} | | |")
    kept = True
    for kind, seen in benches.items():
        more = [median(seen.cold) - cold, median(seen.warm) - warm]
        kept = kept and seen.weight < MOST_KB and max(*more, median(seen.answers)) < MOST_MS
        print(
            f"| {kind} | {seen.weight:.0f} | {median(seen.cold):.0f} | {more[0]:+.0f} | "
            f"{median(seen.warm):.0f} | {more[1]:+.0f} | {median(seen.answers):.0f} |"
        )
    print(f"Budgets: {MOST_KB} kB; {MOST_MS} ms beside the empty page, and for the first answer.")
    return int(not kept)


if __name__ == "__main__":
    sys.exit(main())
