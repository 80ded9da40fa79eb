"""A regression on log price that starts from rules and learns from sales.

It knows nothing of clothes: any table of categories, ordered categories and numbers will do.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal, Self

import numpy as np
import pandas as pd
from sklearn.base import BaseEstimator, RegressorMixin
from sklearn.utils import Tags
from sklearn.utils.validation import check_is_fitted, validate_data

from resale.pricing.model.columns.encoding import Encoder
from resale.pricing.model.columns.prior_columns import plan_from_priors
from resale.pricing.model.columns.table_columns import Shape, plan_from_table
from resale.pricing.model.columns.terms import Array, Coded
from resale.pricing.model.estimator_inputs import (
    checked_prices,
    checked_weights,
    numbers_where_all_are,
)
from resale.pricing.model.fit import fit
from resale.pricing.model.fitted import Fitted
from resale.pricing.model.learned_pairs import with_pairs
from resale.pricing.model.priors import Direction, Priors
from resale.pricing.model.recipe import Sales, recipe_for

ByInput = Mapping[str, float | Mapping[str, float]]


class RulePriorRegressor(RegressorMixin, BaseEstimator):  # type: ignore[misc]
    """Bayesian regression of log price on rule-book columns, with every contribution shown.

    ``log price = level + sum over columns of (opinion + learned departure) * column``. Departures
    have a normal prior around zero with the opinion's doubt as scale, times a scale for each
    family of columns that the evidence sets. No sales: the opinions alone. Many sales: the data.

    Parameters
    ----------
    prior_effect : mapping of input to float or mapping of level to float, default none
        Log effect of each level; for a number, the slope per unit (per unit of its logarithm
        where it enters in logs).
    prior_doubt : same shape, default 1
        Standard deviation of that opinion.
    monotone : mapping of input to {'rising', 'falling'}, default none
        Inputs (ordered categories or numbers) whose effect may only rise or only fall, whatever
        the data say.
    numeric : {'spline', 'linear'}, default 'spline'
        Whether numbers get a smooth curve (and logs where those lie more evenly), or a line.
    coverage : float in (0, 1), default 0.8
        Share of sales that a band should hold.
    groups : str, default None
        Column of the group (kind): inputs may act differently in each, bands are by group.
    pairs : bool, default True
        Whether pairs of inputs get shrunken columns; each pair stays a shown contribution. Not
        used with `priors` (there the departures by group are the pairs).
    price_scale : {'log', 'given'}, default 'log'
        Work on log price, or on the price as given.
    shrinkage : float, default None
        Fixed ridge penalty on doubt-scaled columns instead of the one the evidence sets.
    robust : bool, default True
        Whether, beyond 400 sales, those far off their left-out prediction count less.
    priors : Priors, default None
        A whole rule book; replaces `prior_effect`, `prior_doubt` and `monotone`, needs `groups`.
    most_rounds : int, default 300
    tolerance : float, default 1e-3
        The evidence is climbed until no log precision moves by more than this.

    Attributes
    ----------
    fitted_ : Fitted
        The arrays of the model.
    intercept_ : float
        Log price that the contributions are added to.
    n_features_in_ : int
    feature_names_in_ : ndarray of str, if the table had names

    Examples
    --------
    >>> import pandas as pd
    >>> shirts = pd.DataFrame({"button": ["pearl", "plastic", "pearl", "plastic"] * 10})
    >>> price = [30.0, 20.0, 31.0, 19.0] * 10
    >>> model = RulePriorRegressor().fit(shirts, price)
    >>> model.predict(shirts.head(2)).round(1)
    array([30.5, 19.5])
    """

    def __init__(
        self,
        prior_effect: ByInput | None = None,
        prior_doubt: ByInput | None = None,
        monotone: Mapping[str, Direction] | None = None,
        numeric: Literal["spline", "linear"] = "spline",
        coverage: float = 0.8,
        groups: str | None = None,
        *,
        pairs: bool = True,
        price_scale: Literal["log", "given"] = "log",
        shrinkage: float | None = None,
        robust: bool = True,
        priors: Priors | None = None,
        most_rounds: int = 300,
        tolerance: float = 1e-3,
    ) -> None:
        self.prior_effect = prior_effect
        self.prior_doubt = prior_doubt
        self.monotone = monotone
        self.numeric = numeric
        self.coverage = coverage
        self.groups = groups
        self.pairs = pairs
        self.price_scale = price_scale
        self.shrinkage = shrinkage
        self.robust = robust
        self.priors = priors
        self.most_rounds = most_rounds
        self.tolerance = tolerance

    def fit(self, X: Any, y: Any, sample_weight: Any = None) -> Self:  # noqa: N803
        """Fit to sales.

        Parameters
        ----------
        X : DataFrame or array, shape (n, inputs)
            A missing cell is *not looked at*. With `priors`, n may be 0.
        y : array, shape (n,)
            Sale prices, above 0.
        sample_weight : array, shape (n,), optional

        Returns
        -------
        self
        """
        self._check_parameters()
        frame = self._frame(X, reset=True)
        price = checked_prices(y, len(frame), in_logs=self.price_scale == "log")
        weight = checked_weights(sample_weight, len(frame))
        # A sale of no weight is no sale: it has no say in columns, counts or bands either.
        counted = weight > 0
        frame, price, weight = frame[counted], price[counted], weight[counted]
        target = np.log(price) if self.price_scale == "log" else price
        encoder = self._plan(frame, weight, target)
        return self.fit_coded(encoder, Sales(encoder.code(frame), target, weight))

    def fit_coded(self, encoder: Encoder, sales: Sales) -> Self:
        """Fit to sales that are coded already: the one way in, for tables and for a shop.

        Parameters
        ----------
        encoder : Encoder
            Its columns, with what is believed of them.
        sales : Sales
            Targets are log prices (with `price_scale='given'`, prices).

        Returns
        -------
        self
        """
        recipe = recipe_for(
            encoder,
            self.priors,
            self.monotone,
            shrinkage=self.shrinkage,
            robust=self.robust,
            in_logs=self.price_scale == "log",
            most_rounds=self.most_rounds,
            tolerance=self.tolerance,
        )
        self.fitted_: Fitted = fit(recipe, sales)
        self.intercept_ = self.fitted_.weights.level
        return self

    def predict(self, X: Any) -> Array:  # noqa: N803
        """Median price, shape (n,)."""
        columns, _ = self._columns(X)
        shown = self.fitted_.weights.log_price(columns)
        return np.exp(shown) if self.price_scale == "log" else shown

    def predict_band(self, X: Any, coverage: float | None = None) -> tuple[Array, Array]:  # noqa: N803
        """Lower and upper price between which the stated share of sales should fall.

        Parameters
        ----------
        coverage : float, optional
            The regressor's own where omitted.

        Returns
        -------
        low, high : ndarray, shape (n,)
            Infinite where too few sales exist for the promise.
        """
        columns, items = self._columns(X)
        middle = self.fitted_.weights.log_price(columns)
        wanted = self.coverage if coverage is None else coverage
        _check_coverage(wanted)
        reach = np.array(
            [self.fitted_.scores.reach(g, wanted) for g in range(len(self.fitted_.encoder.groups))]
        )
        half = reach[items.group] * self.fitted_.spread(columns, items)
        if self.price_scale == "log":
            return np.exp(middle - half), np.exp(middle + half)
        return middle - half, middle + half

    def contributions(self, X: Any) -> pd.DataFrame:  # noqa: N803
        """Log contributions, a column an input (or pair); rows sum to log price less intercept."""
        columns, _ = self._columns(X)
        fitted = self.fitted_
        shares = fitted.contributions(columns, fitted.weights.both)
        return pd.DataFrame(shares, columns=list(fitted.encoder.owners))

    def contributions_in_two(self, X: Any) -> tuple[pd.DataFrame, pd.DataFrame]:  # noqa: N803
        """Contributions as the opinions gave them, and what the sales changed."""
        columns, _ = self._columns(X)
        fitted = self.fitted_
        names = list(fitted.encoder.owners)
        rules = fitted.contributions(columns, fitted.weights.prior)
        sales = fitted.contributions(columns, fitted.weights.learned)
        return pd.DataFrame(rules, columns=names), pd.DataFrame(sales, columns=names)

    def __sklearn_tags__(self) -> Tags:
        """Tell what it takes: categories, missing cells, positive prices."""
        tags = super().__sklearn_tags__()
        tags.input_tags.allow_nan = True
        tags.input_tags.categorical = True
        tags.input_tags.string = True
        tags.target_tags.positive_only = self.price_scale == "log"
        return tags

    # --- what comes in ----------------------------------------------------------------------

    def _check_parameters(self) -> None:
        if self.numeric not in {"spline", "linear"}:
            raise ValueError(f"numeric is {self.numeric!r}; use 'spline' or 'linear'")
        if self.price_scale not in {"log", "given"}:
            raise ValueError(f"price_scale is {self.price_scale!r}; use 'log' or 'given'")
        if self.shrinkage is not None and not self.shrinkage > 0:
            raise ValueError(f"shrinkage is {self.shrinkage}; use a number above 0, or None")
        _check_coverage(self.coverage)
        if self.priors is not None and self.groups is None:
            raise ValueError("priors are by group; name the group's column in groups")

    def _frame(self, X: Any, *, reset: bool) -> pd.DataFrame:  # noqa: N803
        if isinstance(X, pd.DataFrame):
            validate_data(self, X, reset=reset, skip_check_array=True)
            frame = X
            if self.priors is None and reset and frame.shape[0] < 1:
                raise ValueError("0 sample(s): give at least one sale, or priors")
        else:
            array = validate_data(self, X, reset=reset, dtype=None, ensure_all_finite="allow-nan")
            if array.dtype.kind not in "OUS":
                array = array.astype(float)
            frame = pd.DataFrame(array, columns=[f"x{place}" for place in range(array.shape[1])])
            if array.dtype.kind == "O":
                frame = frame.apply(numbers_where_all_are)
        numbers = frame.select_dtypes("number")
        if np.isinf(numbers.to_numpy(dtype=float)).any():
            raise ValueError("Input X contains infinity; leave the cell empty instead")
        return frame

    def _plan(self, frame: pd.DataFrame, weight: Array, target: Array) -> Encoder:
        if self.priors is not None and self.groups is not None:
            return plan_from_priors(self.priors, self.groups, frame, weight)
        shape = Shape(
            bends=self.numeric == "spline",
            order=self.monotone or {},
            effect=self.prior_effect or {},
            doubt=self.prior_doubt or {},
        )
        plan = plan_from_table(frame, shape, self.groups, weight)
        if not self.pairs:
            return plan.encoder
        return with_pairs(plan, Sales(plan.encoder.code(frame), target, weight))

    def _columns(self, X: Any) -> tuple[Array, Coded]:  # noqa: N803
        check_is_fitted(self)
        items = self.fitted_.encoder.code(self._frame(X, reset=False))
        return self.fitted_.encoder.matrix(items), items


def _check_coverage(coverage: float) -> None:
    if not 0 < coverage < 1:
        raise ValueError(f"coverage is {coverage}; use a share between 0 and 1")
