"""The grade that signs share, against other roads to the same number."""

import numpy as np
import pytest
from sklearn.decomposition import FactorAnalysis

from resale.pricing.make.factor_score import chances_given, factor_score, precision

RNG = np.random.default_rng(7)


def drawn(loading, count):
    grade = RNG.standard_normal(count)
    noise = RNG.standard_normal((count, len(loading)))
    return grade, grade[:, None] * loading + noise * np.sqrt(1 - loading**2)


def test_two_signs_by_hand():
    """l = 0.6, p = 0.64: each adds 0.36 / 0.64 = 0.5625, so P = 2.125; scores 1 and 2 weigh
    0.9375 each, 2.8125 in all, over P 1.32353."""
    f, total = factor_score(np.array([[1.0, 2.0]]), np.array([0.6, 0.6]), np.ones((1, 2), bool))
    assert (f[0], total[0]) == pytest.approx((2.8125 / 2.125, 2.125))


def test_alone_a_sign_says_what_its_loading_says():
    """f = l x: a sign that is all one knows moves the price by g l x, what the book gives it."""
    f, _ = factor_score(np.array([[1.7]]), np.array([0.3]), np.ones((1, 1), bool))
    assert f[0] == pytest.approx(0.3 * 1.7)


def test_the_score_and_its_variance_are_those_of_scikit_learn():
    """FactorAnalysis.transform gives the regression score; its posterior variance is
    1 / (1 + sum w**2 / noise). Both from its own components and noise: exact but for rounding."""
    loading = np.array([0.7, 0.5, 0.4, 0.6, 0.3])
    _, scores = drawn(loading, 4000)
    model = FactorAnalysis(1, tol=1e-8, max_iter=5000).fit(scores)
    w, noise = model.components_[0], model.noise_variance_
    spread = np.sqrt(w**2 + noise)
    looked = np.ones(scores.shape, bool)
    f, total = factor_score((scores - model.mean_) / spread, w / spread, looked)
    assert f == pytest.approx(model.transform(scores)[:, 0], abs=1e-8)
    assert 1 / total[0] == pytest.approx(1 / (1 + np.sum(w**2 / noise)))


def test_the_score_is_the_regression_on_the_signs():
    """Thomson's regression score (Bartholomew, Knott and Moustaki 2011, Latent Variable Models and
    Factor Analysis, ch. 3, from memory): l' S**-1 x with S = l l' + diag(1 - l**2)."""
    loading = np.array([0.2, 0.9, 0.5, 0.35])
    score = RNG.standard_normal((20, 4))
    covariance = np.outer(loading, loading) + np.diag(1 - loading**2)
    wanted = score @ np.linalg.solve(covariance, loading)
    f, total = factor_score(score, loading, np.ones(score.shape, bool))
    assert f == pytest.approx(wanted)
    assert 1 / total[0] == pytest.approx(1 - loading @ np.linalg.solve(covariance, loading))


@pytest.mark.parametrize("seen", [0.3, 0.8])
def test_the_score_is_as_unsure_as_it_says_whatever_was_looked_at(seen):
    """20,000 things: the error has variance 1 / P; three standard errors are 3 sqrt(2 / n)."""
    loading = np.array([0.6] * 5 + [0.3] * 10)
    grade, scores = drawn(loading, 20_000)
    looked = RNG.random(scores.shape) < seen
    f, total = factor_score(scores, loading, looked)
    assert np.mean((grade - f) ** 2 * total) == pytest.approx(1, abs=3 * (2 / 20_000) ** 0.5)


def test_what_answers_are_likely_beside_a_fine_make_is_as_drawn():
    """40,000 things with two signs cut into answers: among those whose first sign is at its best,
    how the second stands. Scores are means of normal stretches, so the normal density is only
    near: within 0.03 of the shares drawn."""
    loading = np.array([0.6, 0.6])
    grade, latent = drawn(loading, 40_000)
    cuts = np.array([-0.5, 0.6])
    answer = np.digitize(latent, cuts)
    share = np.bincount(answer[:, 1], minlength=3) / len(answer)
    score = np.array([latent[:, 1][answer[:, 1] == a].mean() for a in range(3)])
    score /= np.sqrt(share @ score**2)
    best = answer[:, 0] == 2
    # Cut into answers, a sign tells a little less of the grade.
    loading = np.array([np.corrcoef(grade, score[answer[:, 0]])[0, 1]])
    f, total = factor_score(score[[2]][None, :], loading, np.ones((1, 1), bool))
    found = chances_given(score, share, float(loading[0]), f, total)[0]
    drawn_share = np.bincount(answer[best, 1], minlength=3) / best.sum()
    assert found == pytest.approx(drawn_share, abs=0.03)
    assert found[2] > 1.4 * share[2]


def test_of_a_thing_of_which_nothing_is_known_answers_are_as_common_as_the_book_says():
    share = np.array([0.2, 0.5, 0.3])
    found = chances_given(np.array([-1.0, 0.0, 2.0]), share, 0.5, np.zeros(1), np.ones(1))
    assert found[0] == pytest.approx(share)


def test_answers_of_several_signs_in_one_call_are_as_common_as_of_each_alone():
    signs = [np.array([-1.2, 0.1, 1.4]), np.array([-0.5, 0.5])]
    share = [np.array([0.3, 0.4, 0.3]), np.array([0.5, 0.5])]
    f, total = np.array([0.4, -1.1]), np.array([1.5, 2.2])
    alone = [
        chances_given(score, common, loading, f, total)
        for score, common, loading in zip(signs, share, (0.6, 0.3), strict=True)
    ]
    loading = np.repeat([0.6, 0.3], [3, 2])
    starts = np.array([0, 3])
    joint = chances_given(np.concatenate(signs), np.concatenate(share), loading, f, total, starts)
    assert joint == pytest.approx(np.hstack(alone))


def test_precision_of_no_loading_is_nothing():
    assert precision(np.array([0.0, 0.6])).tolist() == pytest.approx([0.0, 0.5625])
