"""How a valuation lies in the records: its values as JSON, with the form that they are written in.

A row is never written again, so each form that was ever written is read. There is one way up from
an older form to this one, and it is here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from resale.errors import ResaleError
from resale.pricing.valuation.valuation import Valuation

FORM = "form"
# 1: no form was written; shares stood under `rows`, and the oldest say nothing of make.
# 2: as the valuation names them.
NEWEST = 2
NOTHING_OF_MAKE = {
    "make": 0.0,
    "make_doubt": 1.0,
    "make_looked": 0,
    "make_tells": 0,
    "make_factor": 1.0,
}


class NewerFormError(ResaleError):
    """A valuation was written by a newer version of the program."""


def to_stored(valuation: Valuation) -> dict[str, Any]:
    """Plain values of a valuation, as they are stored from now on."""
    return {FORM: NEWEST, **valuation.model_dump(mode="json")}


def from_stored(row: Mapping[str, Any]) -> Valuation:
    """Read a valuation as it was stored, in whatever form.

    Raises
    ------
    NewerFormError
        If a newer version of the program wrote it.
    """
    return Valuation.model_validate(upgraded(row))


def upgraded(row: Mapping[str, Any]) -> dict[str, Any]:
    """Bring the plain values of a stored valuation to the newest form, without that form's name.

    Raises
    ------
    NewerFormError
        If a newer version of the program wrote it.
    """
    plain = dict(row)
    form = plain.pop(FORM, 1)
    if form > NEWEST:
        raise NewerFormError(
            f"a valuation is stored in form {form}, and this program reads up to {NEWEST}",
            remedy="start the newer program that wrote it",
        )
    if form == 1:
        shares = plain.pop("rows")
        plain = {**NOTHING_OF_MAKE, **plain, "contributions": shares}
    return plain
