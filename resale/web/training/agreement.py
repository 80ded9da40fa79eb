"""Agreement: where people read the same, where they do not, and which way."""

from __future__ import annotations

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from resale.training.agreement.kappa import STRENGTH_NOTE
from resale.web.core.shop import current_shop
from resale.web.training.agreement_page import Report, report_of

screen = Blueprint("agreement", __name__, url_prefix="/drill/agreement")


@screen.get("")
def page() -> ResponseReturnValue:
    """Show what the second looks say."""
    report: Report = report_of(current_shop())
    return render_template("training/agreement.html", report=report, strength_note=STRENGTH_NOTE)
