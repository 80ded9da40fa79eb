"""Mending: the best set against every set tried by hand, and what may never happen."""

from itertools import combinations, product
from math import prod

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.errors import RuleBookError
from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuer import Valuer
from resale.selling.markdown.terms import SellingTerms
from resale.selling.mending.mending import best_mending
from resale.selling.mending.remedies import SHIPPED_REMEDIES, load_remedies
from resale.services.standing.decide import AS_SEEN

BOOK = load_rule_book()
# A low wage, so that the sets worth doing are not trivial on the starter book's modest prices.
WAGE = 6.0
VALUER = Valuer(BOOK, rules_alone(BOOK), ShopTerms(wage=WAGE))
DEAR_HANDS = Valuer(BOOK, rules_alone(BOOK), ShopTerms(wage=18.0))
TERMS = SellingTerms(least_mending_net=0.0)
REMEDIES = load_remedies(BOOK)

WORN = {
    "shirt": {
        "label_standing": "premium",
        "collar_edge": "through",
        "missing_button": "seen_2",
        "odour": "noticeable",
        "creased": "needs_press",
        "stain": "seen_2",
    },
    "jacket": {
        "label_standing": "premium",
        "fibre_shell": "wool",
        "hole": "seen_2",
        "seam_failure": "hidden_4",
        "lining_state": "one_tear",
        "stain": "seen_1",
    },
    "trousers": {
        "fibre_shell": "wool",
        "label_standing": "luxury",
        "zip_fault": "slips",
        "hem_wear": "frayed",
        "stretched": "seen_1",
    },
    "shoes": {
        "sole_attach": "goodyear",
        "shoe_upper": "full_grain",
        "label_standing": "premium",
        "sole_left": "through",
        "heel_wear": "sloped",
        "resoled": "original",
        "upper_scuff": "marks",
    },
    "bag": {"bag_material": "full_grain", "corner_wear": "pale", "loose_threads": "few"},
}


def mean_of(kind: str, chosen: dict[str, str], terms: SellingTerms) -> float:
    valued = VALUER.value(one_reading(BOOK, kind, chosen))
    gone = ROUTES[valued.route[0]] == "pass_on"
    return terms.pass_on_value if gone else float(valued.mean[0])


def net_of(kind: str, chosen: dict[str, str], picked: dict[str, str], terms) -> float:
    """Expected net of one set, `picked` saying which remedy treats which signal: every success
    and failure valued as an item of its own."""
    steps = []
    for signal, remedy_id in picked.items():
        one = next(
            t for t in REMEDIES.called(remedy_id).treatments_for(kind, chosen) if t.signal == signal
        )
        now = chosen[signal]
        steps.append((signal, one.after[now], one.worse.get(now, now), one.chance))
    value = 0.0
    for works in product([True, False], repeat=len(steps)):
        item = dict(chosen)
        for (signal, good, bad, _), ok in zip(steps, works, strict=True):
            item[signal] = good if ok else bad
        chance = prod(s[3] if ok else 1 - s[3] for s, ok in zip(steps, works, strict=True))
        value += chance * mean_of(kind, item, terms)
    used = [REMEDIES.called(remedy_id) for remedy_id in set(picked.values())]
    cost = sum(r.minutes * VALUER.terms.wage / 60 + r.material for r in used)
    return value - mean_of(kind, chosen, terms) - cost


def best_by_brute_force(kind: str, chosen: dict[str, str], terms) -> float:
    """Every subset of remedies, and every way to share out a signal that two of them treat."""
    fitting = [r for r in REMEDIES if not r.after_hold and r.treatments_for(kind, chosen)]
    best = 0.0
    for size in range(1, len(fitting) + 1):
        for subset in combinations(fitting, size):
            by_signal: dict[str, list[str]] = {}
            for r in subset:
                for t in r.treatments_for(kind, chosen):
                    by_signal.setdefault(t.signal, []).append(r.id)
            for who in product(*by_signal.values()):
                if set(who) == {r.id for r in subset}:
                    picked = dict(zip(by_signal, who, strict=True))
                    best = max(best, net_of(kind, chosen, picked, terms))
    return best


@pytest.mark.parametrize("kind", list(WORN))
def test_the_best_set_is_the_best_of_all_sets_tried_one_by_one(kind):
    plan = best_mending(VALUER, one_reading(BOOK, kind, WORN[kind]), TERMS)
    assert plan.net == pytest.approx(best_by_brute_force(kind, WORN[kind], TERMS), abs=1e-9)
    assert plan.chosen
    assert plan.gain - plan.wage - plan.material == pytest.approx(plan.net)


def test_an_item_without_faults_has_nothing_to_mend():
    plan = best_mending(VALUER, one_reading(BOOK, "shirt", {"fibre_shell": "cotton"}), TERMS)
    assert plan.offers == ()
    assert (plan.gain, plan.net, plan.minutes, plan.material) == (0, 0, 0, 0)
    assert plan.before == plan.after
    assert (plan.route, plan.text) == ("put_out", "nothing to mend")


def test_a_missing_button_is_sewn_on_and_the_line_can_be_redone_by_hand():
    chosen = {"missing_button": "seen_2", "label_standing": "premium"}
    plan = best_mending(VALUER, one_reading(BOOK, "jacket", chosen), TERMS)
    before = mean_of("jacket", chosen, TERMS)
    after = 0.9 * mean_of("jacket", chosen | {"missing_button": "none"}, TERMS) + 0.1 * before
    assert [offer.remedy.id for offer in plan.chosen] == ["match_button"]
    assert plan.gain == pytest.approx(after - before)
    assert plan.net == pytest.approx(after - before - 7 * WAGE / 60 - 0.3)
    assert plan.route == "mend_first"
    assert plan.text == (
        f"mend: {plan.gain:+.2f} for 7 minutes and 0.30 of material, net {plan.net:+.2f}"
    )


def test_a_better_shoe_bears_a_resole_and_a_cheap_one_does_not():
    good = best_mending(
        VALUER,
        one_reading(
            BOOK,
            "shoes",
            WORN["shoes"]
            | {
                "sole_attach": "hand",
                "label_standing": "premium",
                "vamp_crack": "no_folds",
                "insole": "leather",
            },
        ),
        TERMS,
    )
    cheap = best_mending(
        VALUER, one_reading(BOOK, "shoes", {"sole_attach": "cemented", "sole_left": "thin"}), TERMS
    )
    assert "resole" in [offer.remedy.id for offer in good.offers]
    assert any("cobbler" in line for line in good.trades)
    assert "resole" not in [offer.remedy.id for offer in cheap.offers]
    assert cheap.chosen == ()


def test_what_does_not_pay_is_shown_with_its_loss_and_left_alone():
    item = one_reading(BOOK, "shirt", {"collar_edge": "frayed"})
    plan = best_mending(DEAR_HANDS, item, TERMS)
    assert plan.chosen == ()
    assert [offer.remedy.id for offer in plan.offers] == ["turn_collar"]
    assert plan.offers[0].net < 0
    assert plan.text == "no mending pays"


def test_what_a_gate_would_have_mended_goes_out_as_seen_where_no_mending_pays():
    """As the standing has it: nobody is sent to a lead who does not know of it."""
    item = one_reading(BOOK, "shirt", {"cuff_edge": "through"})
    plan = best_mending(DEAR_HANDS, item, TERMS)
    assert plan.chosen == ()
    assert plan.route == "put_out"
    assert f"{plan.text.capitalize()}." == AS_SEEN


def test_moth_holes_wait_until_a_lead_has_cleared_the_hold():
    item = one_reading(BOOK, "jacket", {"moth": "hidden_3", "creased": "needs_press"})
    held = best_mending(VALUER, item, TERMS)
    cleared = best_mending(VALUER, item, TERMS, hold_cleared=True)
    assert [remedy.id for remedy in held.waiting] == ["darn_moth"]
    assert "darn_moth" not in [offer.remedy.id for offer in held.offers]
    assert held.route == "hold"
    assert "darn_moth" in [offer.remedy.id for offer in cleared.offers]
    assert cleared.waiting == ()


@pytest.mark.parametrize("signal", ["mould", "pests"])
def test_mould_and_pests_are_never_mended_at_the_desk(signal):
    assert all(t.signal != signal for remedy in REMEDIES for t in remedy.treats)


def test_washing_is_not_offered_where_the_label_forbids_it():
    chosen = {"odour": "noticeable", "care_label": "dry_clean_only"}
    plan = best_mending(VALUER, one_reading(BOOK, "shirt", chosen), TERMS)
    assert "wash_and_press" not in [offer.remedy.id for offer in plan.offers]


def test_the_threshold_keeps_small_gains_on_the_rail():
    item = one_reading(BOOK, "shirt", {"creased": "needs_press", "label_standing": "premium"})
    free = best_mending(VALUER, item, TERMS)
    assert free.net == 0 or free.chosen
    strict = best_mending(VALUER, item, SellingTerms(least_mending_net=50))
    assert strict.chosen == () and strict.net == 0 and strict.route == "put_out"


def test_a_shop_that_bears_the_cost_alone_mends_less():
    item = one_reading(BOOK, "shirt", WORN["shirt"])
    alone = best_mending(VALUER, item, SellingTerms(gain_share=0.5, least_mending_net=0))
    shared = best_mending(VALUER, item, TERMS)
    assert alone.net < shared.net
    assert alone.gain == pytest.approx(0.5 * (alone.after - alone.before))


def test_too_many_outcomes_are_cut_to_the_best_remedies_and_the_rest_is_named():
    item = one_reading(BOOK, "shirt", WORN["shirt"])
    whole = best_mending(VALUER, item, TERMS)
    cut = best_mending(VALUER, item, TERMS, most_outcomes=4)
    assert whole.left_out == ()
    assert len(cut.left_out) + len(cut.offers) == len(whole.offers)
    assert 0 <= cut.net <= whole.net


def outcomes(remedies, chosen) -> int:
    """States that the treated signals may end in, multiplied out."""
    states = {}
    for remedy in remedies:
        for one in remedy.treatments_for("shirt", chosen):
            now = chosen[one.signal]
            states.setdefault(one.signal, {now}).update((one.after[now], one.worse.get(now, now)))
    return prod(len(options) for options in states.values())


@pytest.mark.parametrize("most", [2, 4, 6, 12])
def test_no_more_is_cut_than_the_outcomes_ask(most):
    """Exactly as many outcomes as are allowed are few enough."""
    item, chosen = one_reading(BOOK, "shirt", WORN["shirt"]), WORN["shirt"]
    cut = best_mending(VALUER, item, TERMS, most_outcomes=most)
    count = outcomes([offer.remedy for offer in cut.offers], chosen)
    assert count <= most
    again = best_mending(VALUER, item, TERMS, most_outcomes=count)
    assert {one.remedy.id for one in again.offers} == {one.remedy.id for one in cut.offers}


def test_a_net_of_just_the_least_that_counts_does_not_pay():
    item = one_reading(BOOK, "shirt", WORN["shirt"])
    net = best_mending(VALUER, item, TERMS).net
    assert net > 0
    assert best_mending(VALUER, item, SellingTerms(least_mending_net=net)).chosen == ()
    a_little_less = SellingTerms(least_mending_net=np.nextafter(net, 0))
    assert best_mending(VALUER, item, a_little_less).chosen


@st.composite
def worn_items(draw):
    kind = draw(st.sampled_from(list(BOOK.kinds)))
    treated = sorted({t.signal for r in REMEDIES for t in r.treats} & set(BOOK.kinds[kind].by_id))
    signals = draw(st.lists(st.sampled_from(treated), max_size=6, unique=True))
    return kind, {
        s: draw(st.sampled_from(list(BOOK.kinds[kind].by_id[s].option_ids))) for s in signals
    }


@settings(max_examples=60, deadline=None)
@given(worn_items())
def test_no_set_with_a_loss_and_no_remedy_that_loses_inside_the_best_set(drawn):
    kind, chosen = drawn
    plan = best_mending(VALUER, one_reading(BOOK, kind, chosen), TERMS, hold_cleared=True)
    assert plan.net >= 0
    for offer in plan.chosen:
        assert offer.net >= -1e-9
    if not plan.chosen:
        assert plan.net == 0 and plan.after == plan.before
    assert np.isclose(plan.gain - plan.wage - plan.material, plan.net)


def harmless_on(remedy, signal: str) -> str:
    """An answer that lets the remedy be done, from any kind that has the sign."""
    kinds = [kind for kind in BOOK.kinds.values() if signal in kind.by_id]
    options = kinds[0].by_id[signal].option_ids
    return next(one for one in options if one not in remedy.harmful_on[signal])


UNREAD = [r for r in REMEDIES if r.harmful_on]


@pytest.mark.parametrize("remedy", UNREAD, ids=lambda remedy: remedy.id)
def test_an_unread_sign_bars_what_it_could_forbid_and_is_asked_for(remedy):
    kind = next(
        k
        for k in BOOK.kinds.values()
        if (not remedy.kinds or k.id in remedy.kinds)
        and {*remedy.harmful_on, remedy.treats[0].signal} <= set(k.by_id)
    )
    now = next(iter(remedy.treats[0].after))
    seen = {signal: options[0] for signal, options in remedy.only_if.items()}
    unread = seen | {remedy.treats[0].signal: now}
    read = unread | {signal: harmless_on(remedy, signal) for signal in remedy.harmful_on}
    assert remedy.treatments_for(kind.id, unread) == []
    assert remedy.asks_first(kind.id, unread) == tuple(remedy.harmful_on)
    assert remedy.treatments_for(kind.id, read)
    assert remedy.asks_first(kind.id, read) == ()


@pytest.mark.parametrize(
    ("kind", "choices", "barred"),
    [
        ("shirt", {"odour": "faint"}, "wash_and_press"),
        (
            "shirt",
            {"odour": "faint", "care_label": "hand_wash", "fibre_shell": "cotton"},
            "wash_and_press",
        ),
        (
            "shirt",
            {"odour": "faint", "care_label": "machine_wash", "fibre_shell": "natural_blend"},
            "wash_and_press",
        ),
        (
            "trousers",
            {"creased": "needs_press", "fibre_shell": "acetate", "cloth_weave": "pile"},
            "press",
        ),
        ("shirt", {"sweat_mark": "trace"}, "soak_marks"),
        ("shirt", {"stain": "seen_1"}, "spot_clean"),
    ],
)
def test_water_and_heat_are_not_offered_where_they_could_spoil(kind, choices, barred):
    plan = best_mending(VALUER, one_reading(BOOK, kind, choices), TERMS)
    assert barred not in {offer.remedy.id for offer in plan.offers}


def test_the_plan_names_what_to_read_before_a_wash():
    plan = best_mending(VALUER, one_reading(BOOK, "shirt", {"odour": "faint"}), TERMS)
    assert "Wash and press: read first: care label, outer fibre." in plan.read_first


def test_every_remedy_can_be_met_on_some_item_of_each_of_its_kinds():
    for remedy in REMEDIES:
        kinds = remedy.kinds or tuple(BOOK.kinds)
        seen = {signal: options[0] for signal, options in remedy.only_if.items()}
        seen |= {signal: harmless_on(remedy, signal) for signal in remedy.harmful_on}
        for treatment in remedy.treats:
            for now in treatment.after:
                met = [
                    kind
                    for kind in kinds
                    if treatment.signal in BOOK.kinds[kind].by_id
                    and remedy.treatments_for(kind, seen | {treatment.signal: now})
                ]
                assert met, (remedy.id, treatment.signal, now)


FAULTS = [
    ('signal = "creased", chance = 0.98', 'signal = "creases", chance = 0.98', "signal creases"),
    (
        'after = {needs_press = "ready"}}]\nnot_if',
        'after = {ready = "needs_press"}}]\nnot_if',
        "would lower the price",
    ),
    ('id = "press_damp"', 'id = "press"', "share an id"),
    ('kinds = ["bag"]', 'kinds = ["gown"]', "kind gown is not in the rule book"),
    ("chance = 0.98", "chance = 1.98", "remedy press"),
    ('worse = {fuzzy = "frayed"}', 'worse = {crisp = "frayed"}', "does not treat"),
    ('not_if = {hem_depth = ["nothing"]}', 'not_if = {hem_depth = ["none"]}', "hem_depth none"),
    ('[[remedy]]\nid = "press"', '[[remedy]\nid = "press"', "not TOML"),
    ('[[remedy]]\nid = "press"', 'else = 1\n[[remedy]]\nid = "press"', "else: Extra inputs"),
    ('worse = {fuzzy = "frayed"}', 'worse = {fuzzy = "crisp"}', "would raise the price"),
    ('after = {faint = "none"}', 'after = {noticeable = "none"}', "noticeable is treated twice"),
    ('after = {set_in = "ready"}', 'after = {set_on = "ready"}', "has no option set_on"),
    ('after = {set_in = "ready"}', 'after = {set_in = "redy"}', "has no option redy"),
    ('id = "press"\n', "", "remedy 1: id"),
    ("minutes = 4\n", "minutes = -1\n", "press: minutes"),
    ("minutes = 4\n", "minutes = 481\n", "press: minutes"),
    ("material = 0.05", "material = -0.05", "press: material"),
    ("chance = 0.98", "chance = 0.0", "press: treats.0.chance"),
]


@pytest.mark.parametrize(("right", "wrong", "said"), FAULTS)
def test_a_fault_in_the_file_is_named(tmp_path, right, wrong, said):
    text = SHIPPED_REMEDIES.read_text(encoding="utf-8")
    assert right in text
    path = tmp_path / "remedies.toml"
    path.write_text(text.replace(right, wrong, 1), encoding="utf-8")
    with pytest.raises(RuleBookError, match=said):
        load_remedies(BOOK, path)


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("minutes = 4\n", "minutes = 0\n"),
        ("minutes = 4\n", "minutes = 480\n"),
        ("material = 0.05", "material = 0"),
        ("chance = 0.98", "chance = 1"),
        # What leaves the price as it was is no fault.
        ('after = {needs_press = "ready"}}]\nnot_if', 'after = {ready = "ready"}}]\nnot_if'),
    ],
)
def test_a_shop_may_write_the_least_and_the_most(tmp_path, right, wrong):
    text = SHIPPED_REMEDIES.read_text(encoding="utf-8")
    assert right in text
    path = tmp_path / "remedies.toml"
    path.write_text(text.replace(right, wrong, 1), encoding="utf-8")
    assert len(load_remedies(BOOK, path).remedies) == len(REMEDIES.remedies)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(RuleBookError, match="missing"):
        load_remedies(BOOK, tmp_path / "none.toml")
