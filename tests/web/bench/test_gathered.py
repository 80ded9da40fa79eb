"""What found nothing, and what weighs little, stands gathered on the seam; sums stay exact."""

from __future__ import annotations

import re

from bench_forms import Send, words_of
from looked_over import looked_over

from resale.pricing.valuation.valuation import Contribution
from resale.web.core.price_seam import gathered_rows

NOTHING = {("hole", "None"), ("stain", "None"), ("moth", "None")}


def row(signal: str, money: int, option: str = "Some", factor: float = 1.0) -> Contribution:
    return Contribution(
        signal=signal,
        name=signal.title(),
        option=option,
        reason="",
        rule_factor=factor,
        sales_factor=1.0,
        rule_money=money,
        sales_money=0,
    )


def test_money_and_factors_of_a_group_are_those_of_its_rows() -> None:
    rows = (
        row("hole", 44, "None", 1.02),
        row("canvas", 1300, factor=1.4),
        row("stain", -7, "None", 0.99),
        row("moth", 3, "None", 1.001),
    )
    shown = gathered_rows(rows, NOTHING, small=10)
    assert [one.name for one, _ in shown] == ["Canvas", "Three looks found nothing"]
    group, within = shown[-1]
    assert group.money == 40 == sum(one.money for one in within)
    assert abs(group.factor - 1.02 * 0.99 * 1.001) < 1e-12


def test_few_small_signs_stay_as_they_are_and_many_are_gathered() -> None:
    two = (row("a", 3), row("b", -4), row("c", 900))
    assert len(gathered_rows(two, NOTHING, small=10)) == 3
    three = (*two, row("d", 9))
    assert [one.name for one, _ in gathered_rows(three, NOTHING, small=10)] == [
        "C",
        "Three signs of little weight",
    ]


def test_the_page_gathers_what_found_nothing_and_adds_up(send: Send) -> None:
    over = {n.replace("-", "__", 1): a for n, a in looked_over("jacket", {}).items()}
    answer = send("look", live=True, s__front_canvas="full_canvas", **over)
    seam = answer.text.split('<table class="seam">')[1].split("</table>")[0]
    assert re.search(r"\w+ looks found nothing", words_of(answer))
    cells = re.findall(r'<td class="money">([^<]*)</td>', seam)
    numbers = [float(one.replace("\u2212", "-").replace("+", "").replace(",", "")) for one in cells]
    anchor, *moves, estimate = numbers
    assert len(moves) <= 4
    assert round(anchor + sum(moves), 2) == estimate
