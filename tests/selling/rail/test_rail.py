"""The rail: known optima, bounds kept, reasons that hold, sentences for what cannot be."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.errors import ReadingError, SettingError
from resale.selling.rail import rounding
from resale.selling.rail.balance import Bound, RailItem, rail_width
from resale.selling.rail.knapsack import RailError, RailPlan, plan_rail
from resale.selling.rail.programme import Programme

FEW = ["shirt", "trousers", "jacket", "bag", "shoes"]

# The 0/1 knapsack instances P01 to P07 of J. Burkardt's page KNAPSACK_01 (Florida State
# University): capacity, weights, values. The item data are from memory; each optimum was found
# again by looking at every subset, and is the only one.
KNAPSACKS = {
    "P01": (165, "23 31 29 44 53 38 63 85 89 82", "92 57 49 68 60 43 67 84 87 72", 309, 165),
    "P02": (26, "12 7 11 8 9", "24 13 23 15 16", 51, 26),
    "P03": (190, "56 59 80 64 75 17", "50 50 64 46 50 5", 150, 190),
    "P04": (50, "31 10 20 19 4 3 6", "70 20 39 37 7 5 10", 107, 50),
    "P05": (104, "25 35 45 5 25 3 2 2", "350 400 450 20 70 8 5 5", 900, 104),
    "P06": (170, "41 50 49 59 55 57 60", "442 525 511 593 546 564 617", 1735, 169),
    "P07": (
        750,
        "70 73 77 80 82 87 90 94 98 106 110 113 115 118 120",
        "135 139 149 150 156 163 173 184 192 201 210 214 221 229 240",
        1458,
        749,
    ),
}


def knapsack(name: str) -> tuple[float, list[RailItem], int, int]:
    capacity, weights, values, best, weight = KNAPSACKS[name]
    pairs = zip(weights.split(), values.split(), strict=True)
    items = [
        RailItem(f"{name}-{place}", "any", "", float(value), float(width))
        for place, (width, value) in enumerate(pairs)
    ]
    return capacity, items, best, weight


def by_ratio(items: list[RailItem], length: float) -> float:
    """Take the best gain a centimetre first: what a person does without the programme."""
    gain = 0.0
    for item in sorted(items, key=lambda item: -item.gain / item.width):
        if item.width <= length:
            length -= item.width
            gain += item.gain
    return gain


@pytest.mark.parametrize("name", KNAPSACKS)
def test_rail_finds_the_known_optimum_of_published_knapsacks(name: str) -> None:
    """Exact: gains and widths are whole numbers."""
    length, items, best, weight = knapsack(name)
    plan = plan_rail(items, length, gap=0.0)
    assert plan.gain == best
    assert plan.used == weight
    assert plan.gap == 0.0


@pytest.mark.parametrize(
    ("name", "greedy"),
    [("P02", 47), ("P03", 146), ("P04", 102), ("P05", 858), ("P06", 1478), ("P07", 1441)],
)
def test_taking_the_best_ratio_first_brings_less(name: str, greedy: int) -> None:
    length, items, best, _ = knapsack(name)
    assert by_ratio(items, length) == greedy < best


def item(number: int, kind: str, size: str, gain: float, width: float) -> RailItem:
    return RailItem(f"R-{number:05d}", kind, size, gain, width)


items_of_a_room = st.lists(
    st.tuples(
        st.sampled_from(["shirt", "shoes"]),
        st.sampled_from("SM"),
        st.integers(-200, 900),
        st.sampled_from([1.5, 2.5, 4.0, 7.25]),
    ),
    min_size=1,
    max_size=8,
).map(lambda rows: [item(place, *row) for place, row in enumerate(rows)])


def chosen_items(plan: RailPlan, items: list[RailItem]) -> list[RailItem]:
    return [item for item in items if item.number in plan.chosen]


@settings(max_examples=40, deadline=None)
@given(items_of_a_room, st.floats(3, 25), st.integers(0, 4), st.floats(0.2, 1.0))
def test_bounds_hold_and_no_other_choice_brings_more(
    items: list[RailItem], length: float, most_shoes: int, most_small: float
) -> None:
    """Derived: against every subset of up to eight items."""
    length = round(length, 1)
    bounds = [
        Bound("shoes", most=most_shoes),
        Bound(size="S", most=most_small, share=True),
        Bound("shirt", least=2, penalty=150),
    ]
    plan = plan_rail(items, length, bounds, gap=0.0)

    def net(subset: list[RailItem]) -> float:
        shoes = sum(item.kind == "shoes" for item in subset)
        small = sum(item.size == "S" for item in subset)
        shirts = len(subset) - shoes
        wide = sum(item.width for item in subset)
        if wide > length + 1e-9 or shoes > most_shoes or small > most_small * len(subset) + 1e-6:
            return -np.inf
        return sum(item.gain for item in subset) - 150 * max(2 - shirts, 0)

    every = product([False, True], repeat=len(items))
    best = max(net([i for i, out in zip(items, pick, strict=True) if out]) for pick in every)
    assert net(chosen_items(plan, items)) == pytest.approx(best, abs=1e-3)
    assert plan.net == pytest.approx(best, abs=1e-3)
    assert len(plan.chosen) + len(plan.left_out) == len(items)


def test_reasons_tell_what_stands_against_each_item() -> None:
    items = [
        item(1, "shirt", "M", 900, 5),
        item(2, "shirt", "M", 800, 5),
        item(3, "shirt", "M", 700, 5),
        item(4, "shoes", "41", 400, 14),
        item(5, "bag", "small", -40, 2),
        item(6, "jacket", "52", 5000, 60),
    ]
    plan = plan_rail(
        items, 18, [Bound("shirt", most=2, name="shirts")], show=lambda m: f"€{m / 100:.2f}"
    )
    why = {left.number: (left.reason, left.why) for left in plan.left_out}
    assert plan.chosen == ("R-00001", "R-00002")
    assert why["R-00003"] == ("at_most", "shirts: already at the most asked for (at most 2 shirts)")
    assert why["R-00004"] == (
        "rail_full",
        "rail full: it needs 14 cm, 8 cm are free; it brings €0.29 a cm, the last chosen €1.60",
    )
    assert why["R-00005"] == ("no_gain", "it gains nothing by going out now (€-0.40)")
    assert why["R-00006"] == ("too_wide", "it needs 60 cm, the whole rail has 18 cm")


def test_an_item_held_back_by_a_wish_says_which() -> None:
    items = [item(1, "shirt", "M", 500, 3), item(2, "shirt", "M", 80, 3)]
    plan = plan_rail(items, 50, [Bound("shirt", most=1, penalty=100)])
    assert plan.left_out[0].why == "it brings 80, but counts 100 against the wish: at most 1 shirt"
    forced = plan_rail(items, 50, [Bound("shirt", least=4, penalty=100)])
    assert len(forced.chosen) == 2
    assert (forced.penalty, forced.missed) == (200, ("at least 4 shirt",))


def test_what_hangs_already_takes_its_room_and_counts_for_the_balance() -> None:
    out = [item(place, "shirt", "M", 0, 5) for place in (1, 2)]
    waiting = [item(3, "shirt", "M", 900, 5), item(4, "bag", "", 100, 5)]
    plan = plan_rail(waiting, 15, [Bound("shirt", most=2)], already=out)
    assert plan.chosen == ("R-00004",)
    assert plan.free == 0


@pytest.mark.parametrize(
    ("bounds", "length", "said"),
    [
        ([Bound("shoes", least=5, name="shoes")], 500, "at least 5 shoes by 2 (3 wait)"),
        ([Bound("shoes", least=3, name="shoes")], 45, "at least 3 shoes by 1"),
    ],
)
def test_minimums_that_cannot_be_kept_are_named(
    bounds: list[Bound], length: float, said: str
) -> None:
    items = [item(place, "shoes", "41", 300, 20) for place in range(3)]
    items += [item(9, "shirt", "M", 300, 2.5)]
    with pytest.raises(RailError) as caught:
        plan_rail(items, length, bounds)
    assert said in caught.value.sentence
    assert caught.value.sentence.endswith("or let it be a wish with a penalty.")


def test_an_empty_back_room_gives_an_empty_plan_or_says_what_is_missing() -> None:
    assert plan_rail([], 100).chosen == ()
    with pytest.raises(RailError, match="at least 1 shirt by 1"):
        plan_rail([], 100, [Bound("shirt", least=1)])


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (lambda: plan_rail([], 0), "the rail is 0 cm long"),
        (lambda: item(1, "shirt", "M", 1, 0), "the width is 0 cm"),
        (lambda: plan_rail([item(1, "a", "", 1, 1)] * 2, 9), "listed 2 times"),
        (lambda: Bound("shirt", least=3, most=2), "at least 3 and at most 2"),
        (lambda: Bound("shirt", most=30, share=True), "give a share from 0 to 1"),
        (lambda: plan_rail([], 5, already=[item(1, "a", "", 1, 9)]), "4 cm more than its 5 cm"),
    ],
)
def test_bad_settings_are_said_in_a_sentence(fault: object, said: str) -> None:
    with pytest.raises((ReadingError, SettingError)) as caught:
        fault()  # type: ignore[operator]
    assert said in caught.value.sentence


def a_full_back_room(many: int) -> list[RailItem]:
    rng = np.random.default_rng(20261125)
    kinds = rng.choice(FEW, many, p=[0.35, 0.2, 0.2, 0.1, 0.15])
    widths = [round(float(rail_width(kind) * rng.uniform(0.8, 1.3)), 1) for kind in kinds]
    gains = np.round(rng.lognormal(6.2, 0.7, many) - 150)
    return [
        item(place, str(kinds[place]), "SML"[place % 3], float(gains[place]), widths[place])
        for place in range(many)
    ]


BALANCE = [
    Bound("shoes", least=10, most=40),
    Bound("shirt", least=0.2, most=0.5, share=True),
    Bound("jacket", least=20),
    Bound(size="S", least=0.3, share=True, penalty=200),
    Bound(size="L", most=60, penalty=100),
]


def test_two_thousand_items_are_planned_within_a_thousandth_of_the_bound() -> None:
    plan = plan_rail(a_full_back_room(2000), 2000, BALANCE)
    assert plan.gap <= 0.001
    assert plan.said_gap == ""
    assert plan.used <= 2000
    assert {left.reason for left in plan.left_out} <= {"no_gain", "at_most", "rail_full"}


@pytest.mark.parametrize("stopped", ["exact", "relaxed"])
def test_a_machine_too_busy_to_search_gives_a_choice_and_says_what_it_may_miss(
    stopped: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Wishes alone, so that a choice exists: 'none was found' would be untrue."""
    nothing = (None, np.inf, True) if stopped == "exact" else None
    monkeypatch.setattr(Programme, stopped, lambda *_: nothing)
    wishes = [Bound(kind, most=0.25, share=True, penalty=300) for kind in FEW]
    wishes += [Bound(size=size, most=0.2, share=True, penalty=300) for size in "SM"]
    items = a_full_back_room(300)
    plan = plan_rail(items, 400, wishes, gap=0.0)
    monkeypatch.undo()
    exact = plan_rail(items, 400, wishes)
    assert plan.net <= exact.best_possible * (1 + 1e-9)
    assert plan.best_possible >= exact.net * (1 - 1e-9)
    assert plan.used <= 400
    if stopped == "exact":
        assert plan.net > 0.99 * exact.net
    else:
        assert f"up to {100 * plan.gap:.2g} % more" in plan.said_gap


def test_hard_bounds_that_rounding_misses_are_kept_by_looking_at_the_nearest_items(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Ten shoes are asked for; leaving the one that the relaxation cuts leaves nine."""
    items = a_full_back_room(600)
    bounds = [Bound("shoes", least=10), Bound("bag", least=5), Bound("jacket", least=20)]
    assert plan_rail(items, 478.5, bounds, seconds=0.0).missed == ("at least 10 shoes",)
    monkeypatch.setattr(rounding, "_improved", lambda programme, relaxed, found, *_: found)
    plan = plan_rail(items, 478.5, bounds)
    assert plan.missed == ()
    assert plan.gap < 0.01


@pytest.mark.parametrize("name", KNAPSACKS)
def test_the_bound_before_any_search_is_dantzig_s(name: str) -> None:
    """Dantzig 1957 (Operations Research 5, 266-277): fill by rate and cut the last item; its
    whole part is Martello and Toth's U1 (1977, EJOR 1, 169-175). Both cited from memory."""
    length, items, best, _ = knapsack(name)
    room, bound = length, 0.0
    for one in sorted(items, key=lambda item: -item.gain / item.width):
        bound += one.gain * min(room / one.width, 1.0)
        room = max(room - one.width, 0.0)
    plan = plan_rail(items, length, seconds=0.0)
    assert plan.best_possible == pytest.approx(bound, rel=1e-9)
    assert plan.gain <= best <= int(bound + 1e-6)
    assert plan.gain >= by_ratio(items, length) * 0.5


@settings(max_examples=40, deadline=None)
@given(items_of_a_room, st.floats(3, 25), st.floats(0.2, 1.0), st.integers(0, 400))
def test_rounding_alone_fits_and_never_promises_too_little(
    items: list[RailItem], length: float, most_small: float, penalty: int
) -> None:
    wishes = [Bound(size="S", most=most_small, share=True, penalty=penalty)]
    rough = plan_rail(items, round(length, 1), wishes, seconds=0.0)
    best = plan_rail(items, round(length, 1), wishes, gap=0.0)
    assert rough.used <= round(length, 1) + 1e-9
    assert rough.net <= best.net + 1e-6
    assert rough.best_possible >= best.net - 1e-6


def test_the_gap_is_said_in_words() -> None:
    def said(net: float, best: float) -> str:
        return RailPlan((), (), net, 0.0, best, 0.0, 0.0, {}, ()).said_gap

    assert said(1000, 1000.9) == ""
    assert said(1000, 1032).endswith("may bring up to 3.2 % more than this one.")
    assert "far more" in said(0, 10)
    assert "far more" in said(-5, 10)
