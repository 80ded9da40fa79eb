"""How long twelve given things take at the Bench, one look at a time, and what is lost by stopping.

    python tests/benchmarks/twelve_items.py [--items twelve_more] [--most 12] [--log folder]

A real Chromium shows one look at a time; whoever plays the sorter knows the thing
(`twelve_items.toml`, written down before the first run) and answers what is asked: until the Bench
says enough, or nine taps are used up, the last of them *Save*. On the card of what strikes the
sorter picks what the thing has, the most telling first, and misses 15 of 100. The page's own log of
events, which `--log` leaves in a folder, is
counted into operators; the price and tier come from the records. Beside them stands the same thing
with every sign looked at.

Seconds of the hand are P and K for each tap (K alone by keys) and what the hand had to wait for the
page: on the card until the tapped answer is drawn as taken, elsewhere until the next question. How
long it would be if each price were waited for stands below the table. Seconds with a mind add M for
each answer. Looking is the rule book's own seconds for each sign answered, and no
page's; for the card come ten seconds of turning the thing over (an opinion) and a movement of the
eye for each of its signs.

Notes
-----
Card, Moran and Newell 1980, Communications of the ACM 23(7), 396-410: K 0.20 s, P 1.10 s,
M 1.35 s; the numbers were read in a university's page on the model, not in the paper. P was
measured with a mouse; a thumb is taken to point as fast. The paper counts a machine's answer only
where the user has to wait for it. What the toml does not state is drawn by
the book's shares, leaned by the thing's make, with the thing's place as seed.
"""

from __future__ import annotations

import argparse
import json
import shutil
import sys
import tempfile
import tomllib
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np
from playwright.sync_api import Browser, Page, sync_playwright

from resale.garments.rulebook.rule_book import Kind
from resale.safety.looks import shipped_looks
from resale.safety.required_looks import required_looks
from resale.services.items.entry import entry_of
from resale.services.shop import Shop
from resale.storage.items.store import item_numbered
from resale.web import create_app

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
from look_seconds import BROWSERS, FLAGS, KEY, LOG, MIND, POINT, press
from looked_over import FINE
from own_server import start_own_server
from signed_in import session_cookie

SETS = ("twelve_items", "twelve_more")
GIVEN = {
    name: tomllib.loads(Path(__file__).with_name(f"{name}.toml").read_text())["item"]
    for name in SETS
}
WAYS = {
    "thumb, 390": (390, 844),
    "thumb, 768": (768, 1024),
    "mouse, 1280": (1280, 800),
    "keys, 1280": (1280, 800),
}
AT_ONCE, STRIKING = "nothing-found", "striking"
TAKEN = """() => new MutationObserver(() => window.eventLog.push(["taken", performance.now()]))
  .observe(document.querySelector("#striking"),
    { attributes: true, attributeFilter: ["aria-pressed"], subtree: true })"""
MOST_TAPS, MISSED, TURNED_OVER, EYE = 9, 0.15, 10.0, 0.23
# Targets, in the median and at worst; price and tier beside everything looked at.
TARGET = "hand 12.0 s in the middle and 20.0 s at most, 9 taps, 2 swipes, tier 85 %, price 12 %"


@dataclass(frozen=True)
class Done:
    """One thing done one way. Money in minor units.

    Attributes
    ----------
    answers, taps, swipes : int
        Questions answered; presses or keys, and turns of the wheel, in the log.
    waits, prices : float
        Seconds from each press until the hand could go on, and until the price was there, summed.
    looking : float
        Seconds that the rule book gives to what was asked.
    """

    name: str
    way: str
    answers: int
    taps: int
    swipes: int
    waits: float
    prices: float
    looking: float
    enough: bool
    ticket: int
    full_ticket: int
    same_tier: bool

    @property
    def hand(self) -> float:
        """Seconds of operating."""
        each = KEY if self.way.startswith("keys") else POINT + KEY
        return self.taps * each + self.waits

    @property
    def off(self) -> float:
        """How far the ticket is from that with everything looked at, as a part of it."""
        return abs(self.ticket / self.full_ticket - 1)


def truth_of(kind: Kind, place: int, items: str = SETS[0]) -> dict[str, str]:
    """Every answer of a given thing: as stated, fine where a look must be, else as drawn."""
    # The first dozen keeps the seeds that it was first drawn with.
    given, random = GIVEN[items][place], np.random.default_rng(place + 100 * SETS.index(items))
    must = {one.id for one in required_looks(kind, {"kind": kind.id, "choices": {}, "looks": {}})}
    answers: dict[str, str] = {}
    for signal in kind.signals:
        shares = np.array([one.share for one in signal.options])
        effects = np.log([one.effect for one in signal.options])
        effects -= shares @ effects
        spread = np.sqrt(shares @ effects**2) or 1.0
        lean = given["make"] if signal.about != "wear" else 0.0
        weights = shares * np.exp(0.6 * lean * effects / spread)
        drawn = signal.option_ids[random.choice(len(shares), p=weights / weights.sum())]
        fine = FINE.get(signal.id, shipped_looks().nothing.get(signal.id, "none"))
        if signal.id in must and fine in signal.option_ids:
            drawn = fine
        answers[signal.id] = given["is"].get(signal.id, drawn)
    return {
        name: answer
        for name, answer in answers.items()
        if not (rule := kind.by_id[name].only_if) or rule.met(answers)
    }


def answer(page: Page, kind: Kind, truth: dict[str, str], asked: str, *, by_keys: bool) -> None:
    """Give the answer to what is asked, as a hand does."""
    if asked == AT_ONCE:
        target = page.locator(f"#{AT_ONCE}")
        if by_keys:
            target.focus()
            page.keyboard.press("Enter")
        else:
            press(page, target)
        return
    is_sign = asked in kind.by_id
    value = truth.get(asked, "") if is_sign else shipped_looks().by_id[asked].answers[0].id
    field = f'input[name="{"s" if is_sign else "k"}-{asked}"][value="{value}"]'
    if not value:
        press(page, page.locator(".pass-untold"))
    elif by_keys:
        _by_keys(page, kind, asked, value)
    else:
        fold = page.locator(f"#sign-{asked} .by-hand:not([open]) > summary")
        if fold.count():
            press(page, fold)
        target = page.locator(f"label:has({field})")
        box = target.bounding_box()
        size = page.viewport_size
        assert box and size
        if not 0 <= box["y"] <= size["height"] - 70:
            page.mouse.wheel(0, box["y"] - size["height"] / 2)
            page.wait_for_timeout(100)
        press(page, target)


def _by_keys(page: Page, kind: Kind, asked: str, value: str) -> None:
    ids = (
        kind.by_id[asked].option_ids
        if asked in kind.by_id
        else shipped_looks().by_id[asked].answer_ids
    )
    place = ids.index(value) + 1
    is_typed = asked in kind.by_id and kind.by_id[asked].measure is not None
    if asked in kind.by_id and kind.by_id[asked].shape == "finding" and place > 6:
        page.keyboard.press(f"Shift+Digit{place - 5}")
    elif place < 10 and not is_typed:
        page.keyboard.press(str(place))
    else:
        page.keyboard.press("Tab")
        page.locator(f'input[name="s-{asked}"][value="{value}"]').focus()
        page.keyboard.press("Space")


@dataclass
class Hand:
    """A hand at work on one thing: what it may still press, and what it has done."""

    page: Page
    shop: Shop
    kind: Kind
    truth: dict[str, str]
    by_keys: bool
    left: int
    random: np.random.Generator
    answers: int = 0
    looking: float = 0.0

    def work(self) -> None:
        """Answer what is asked until enough was looked at, or only *Save* may still be pressed."""
        asked = self.page.locator(".is-asked")
        while self.left > 0 and asked.count():
            name = (asked.get_attribute("id") or "").removeprefix("sign-")
            if name == STRIKING:
                self._strike()
                continue
            with self.page.expect_response("**/look"):
                answer(self.page, self.kind, self.truth, name, by_keys=self.by_keys)
            self._wait_past(name)
            self._count(name)

    def _strike(self) -> None:
        """Pick what the thing has from the top down, the most telling if not all, and go on."""
        self.looking += TURNED_OVER + EYE * len(self.shop.striking[self.kind.id])
        chips = [
            (self.page.locator(f'.struck[value="{signal} {option}"]'), signal)
            for signal, option in self._seen()
        ]
        # From the top of the card down, as they stand there.
        for chip, signal in sorted(chips, key=lambda one: (one[0].bounding_box() or {"y": 0})["y"]):
            with self.page.expect_response("**/look"):
                self._press(chip)
            self._count(signal)
        if self.left:
            with self.page.expect_response("**/look"):
                self._press(self.page.locator(".pass-later"))
            self._wait_past(STRIKING)
            self.left -= 1

    def _seen(self) -> list[tuple[str, str]]:
        table = self.shop.valuer.model.tables[self.kind.id]
        alone, ids = table.alone[0] + table.alone[1], list(self.kind.by_id)
        seen = []
        for one in self.shop.striking[self.kind.id]:
            for option in one.options:
                has_it = self.truth.get(one.signal.id) == option.id
                if has_it and self.random.random() > MISSED:
                    code = one.signal.option_ids.index(option.id)
                    says = abs(alone[table.starts[ids.index(one.signal.id)] + code])
                    seen.append((float(says), one.signal.id, option.id))
        least = sorted(seen, reverse=True)[: self.left]
        return [one[1:] for one in seen if one in least]

    def _press(self, target: Any) -> None:
        if self.by_keys:
            target.focus()
            self.page.keyboard.press("Enter")
            return
        size = self.page.viewport_size
        row = self.page.locator("#pass-row").bounding_box()
        card = self.page.locator(".zone:has(#striking)").bounding_box()
        assert size and row and card
        top, bottom = max(card["y"], 0), min(row["y"], size["height"])
        self.page.mouse.move(card["x"] + card["width"] / 2, (top + bottom) / 2)
        # Who reads downwards moves a screenful at a time until it is in sight.
        while target.evaluate("(one) => !one.closest('.pass-row')"):
            box = target.bounding_box()
            assert box
            if top <= box["y"] <= bottom - box["height"]:
                break
            # A fifth stays in sight, so that nothing on the fold is passed by, up and down again.
            screenful = 0.8 * (bottom - top)
            self.page.mouse.wheel(0, screenful if box["y"] > top else -screenful)
            # A page that glides is still on its way; a hand waits for it with the eye.
            self.page.wait_for_timeout(500)
            # A page that moves as a whole takes its head along.
            card = self.page.locator(".zone:has(#striking)").bounding_box() or card
            top = max(card["y"], 0)
        press(self.page, target)

    def _wait_past(self, name: str) -> None:
        self.page.wait_for_function(
            "(id) => document.querySelector('.is-asked')?.id.replace('sign-', '') !== id"
            " && !document.body.classList.contains('is-deaf')",
            arg=name,
        )

    def _count(self, name: str) -> None:
        self.looking += self.kind.by_id[name].seconds if name in self.kind.by_id else 0.0
        self.answers += 1
        self.left -= 1


@dataclass(frozen=True)
class Desk:
    """Where the things are done: a browser that is signed in, and how many taps it may take."""

    browser: Browser
    shop: Shop
    address: str
    cookie: str
    items: str
    most: int
    log: Path | None

    def do(self, place: int, way: str) -> Done:
        """Do one thing one way, up to its save."""
        given, by_keys = GIVEN[self.items][place], way.startswith("keys")
        kind = self.shop.kind(given["kind"])
        truth = truth_of(kind, place, self.items)
        page = self._opened(kind, way)
        random = np.random.default_rng([9, place])
        hand = Hand(page, self.shop, kind, truth, by_keys, self.most - 1, random)
        hand.work()
        log: list[tuple[str, float]] = page.evaluate("() => window.eventLog")
        enough = not page.locator(".is-asked").count()
        number = self._saved(page, by_keys=by_keys)
        page.context.close()
        if self.log:
            name = f"{self.items}-{place + 1:02}-{way.replace(', ', '-')}.json"
            (self.log / name).write_text(json.dumps(log))
        saved = item_numbered(self.shop.records, number).newest
        full = self.shop.explain(entry_of(kind, truth, {}))
        return Done(
            given["name"],
            way,
            hand.answers,
            sum(what in {"pointerdown", "keydown"} for what, _ in log) + 1,
            sum(what == "wheel" for what, _ in log),
            _waits(log, {"taken", "said"}),
            _waits(log, {"said"}),
            hand.looking,
            enough,
            saved.valued.ticket,
            full.ticket,
            saved.valued.tier == full.tier,
        )

    def _opened(self, kind: Kind, way: str) -> Page:
        width, height = WAYS[way]
        context = self.browser.new_context(
            viewport={"width": width, "height": height}, service_workers="block"
        )
        cookies = {"resale": self.cookie, "bench_way": "one"}
        context.add_cookies(
            [{"name": n, "value": v, "url": self.address} for n, v in cookies.items()]
        )
        page = context.new_page()
        page.goto(f"{self.address}/bench/{kind.id}")
        page.locator(".is-asked").wait_for()
        page.evaluate(LOG)
        page.evaluate(TAKEN)
        return page

    @staticmethod
    def _saved(page: Page, *, by_keys: bool) -> str:
        """Press *Save*; gives the number."""
        if by_keys:
            # A letter in a field that is typed in is a letter.
            page.locator("#save").focus()
            page.keyboard.press("Enter")
        else:
            press(page, page.locator("#save"))
        page.locator("#just-saved a").first.wait_for()
        return page.locator("#just-saved a").first.inner_text()


def _waits(log: list[tuple[str, float]], answers: set[str]) -> float:
    """Seconds from each press to the first such answer of the page after it."""
    waits, at = 0.0, None
    for what, when in log:
        if what in {"pointerdown", "keydown"}:
            at = when
        elif what in answers and at is not None:
            waits, at = waits + when - at, None
    return waits / 1000


def done(
    ways: list[str], items: str = SETS[0], most: int = MOST_TAPS, log: Path | None = None
) -> list[Done]:
    """Do every thing of a dozen in these ways, in a fresh shop."""
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        raise SystemExit("No Chromium is installed.")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as player:
        app = create_app(Path(folder))
        shop: Any = app.extensions["resale"]
        address, cookie = start_own_server(app), session_cookie(app, "owner")
        browser = player.chromium.launch(executable_path=found, args=FLAGS)
        desk = Desk(browser, shop, address, cookie, items, most, log)
        rows = [desk.do(place, way) for way in ways for place in range(len(GIVEN[items]))]
        browser.close()
    return rows


def table(rows: list[Done]) -> str:
    """Write each thing, and each way in the middle."""
    lines = [
        "| thing | way | answers | taps | swipes | hand, s | with mind, s | looking, s | enough | "
        "ticket | all looked at | tier |",
        "|" + "---|" * 12,
    ]
    lines += [
        f"| {r.name} | {r.way} | {r.answers} | {r.taps} | {r.swipes} | {r.hand:.1f} | "
        f"{r.hand + MIND * r.answers:.1f} | {r.looking:.0f} | {'yes' if r.enough else 'no'} | "
        f"{r.ticket / 100:.2f} | {r.full_ticket / 100:.2f} | {'same' if r.same_tier else 'other'} |"
        for r in rows
    ]
    lines.append("")
    for way in dict.fromkeys(r.way for r in rows):
        own = [r for r in rows if r.way == way]
        hands = [r.hand for r in own]
        lines.append(
            f"{way}: hand {median(hands):.1f} s in the middle, {max(hands):.1f} s at most; "
            f"{max(r.taps for r in own)} taps and {max(r.swipes for r in own)} swipes at most; "
            f"tier the same in {sum(r.same_tier for r in own) / len(own):.0%}; "
            f"price off by {median(r.off for r in own):.0%} in the middle. If each price were "
            f"waited for: hand {median(r.hand - r.waits + r.prices for r in own):.1f} s in the "
            "middle."
        )
    return "\n".join([*lines, f"Aimed at: {TARGET}."])


def main(argv: list[str] | None = None) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description="Twelve given things, one look at a time.")
    parser.add_argument("--way", choices=WAYS, action="append", help="one way alone")
    parser.add_argument("--items", choices=SETS, default=SETS[0], help="which dozen")
    parser.add_argument("--most", type=int, default=MOST_TAPS, help="taps at most, with Save")
    parser.add_argument("--log", type=Path, help="folder that the logs of events are left in")
    given = parser.parse_args(argv)
    if given.log:
        given.log.mkdir(parents=True, exist_ok=True)
    rows = done(given.way or list(WAYS), given.items, given.most, given.log)
    sys.stdout.write(table(rows) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
