#!/usr/bin/env python3
"""The same problems through general reference libraries; the answers are stored with the versions.

    pip install numpy scipy uncertainties odrpack geographiclib
    python compare.py            # compares fresh answers with outputs.json
    python compare.py --write    # writes outputs.json anew

The Rust tests read outputs.json: they need no Python.
"""

import json
import math
import pathlib
import sys

import geographiclib
import numpy as np
import odrpack
import scipy
import scipy.stats
import uncertainties
import uncertainties.umath as umath
from geographiclib.geodesic import Geodesic

HERE = pathlib.Path(__file__).parent
OUTPUTS = HERE / "outputs.json"
STRD = HERE.parent / "data" / "strd_linear.json"
SEED = 20260101

PEARSON = {
    "x": [0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4],
    "y": [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5],
    "x_weights": [1000, 1000, 500, 800, 200, 80, 60, 20, 1.8, 1],
    "y_weights": [1, 1.8, 4, 8, 20, 20, 70, 70, 100, 500],
}


def dense(coefficients, observed, covariance):
    """Generalised least squares by the pseudo-inverse of the whitened rows."""
    whitening = np.linalg.inv(np.linalg.cholesky(covariance))
    rows, right = whitening @ coefficients, whitening @ observed
    inverse = np.linalg.pinv(rows)
    values = np.linalg.lstsq(rows, right, rcond=None)[0]
    return values, inverse @ inverse.T, float(np.sum((right - rows @ values) ** 2))


def adjustment(rng, unknowns, evidence, is_correlated):
    """One invented problem: a prior on every unknown, then evidence on sums of some of them."""
    prior_mean = rng.normal(0, 2, unknowns)
    prior_u = 10 ** rng.uniform(-2, 0, unknowns)
    signs = rng.choice([-1.0, 0.0, 1.0], (evidence, unknowns))
    truth = rng.normal(prior_mean, prior_u)
    u = 10 ** rng.uniform(-4, -1, evidence)
    observed = rng.normal(signs @ truth, u)
    covariance = np.diag(np.concatenate([prior_u**2, u**2]))
    if is_correlated:
        a, b = unknowns, unknowns + 1
        covariance[a, b] = covariance[b, a] = 0.6 * u[0] * u[1]
    rows, right = np.vstack([np.eye(unknowns), signs]), np.concatenate([prior_mean, observed])
    values, spread, chi_square = dense(rows, right, covariance)
    functional = rng.choice([-1.0, 1.0, 2.0], unknowns)
    # The evidence density without any linear algebra of ours: y ~ N(A m, V + A P A').
    prior = np.diag(prior_u**2)
    total = covariance[unknowns:, unknowns:] + signs @ prior @ signs.T
    log_evidence = scipy.stats.multivariate_normal(signs @ prior_mean, total).logpdf(observed)
    return {
        "coefficients": rows.tolist(),
        "observed": right.tolist(),
        "covariance": covariance.tolist(),
        "functional": functional.tolist(),
        "values": values.tolist(),
        "functional_value": float(functional @ values),
        "functional_u": math.sqrt(functional @ spread @ functional),
        "chi_square": chi_square,
        "log_evidence": float(log_evidence),
        "leave_one_out": leave_one_out(rows, right, covariance),
    }


def leave_one_out(rows, right, covariance):
    """Normalised deleted residuals by refitting without each row; None for correlated rows (and where the rest
    is short of rank)."""
    out = []
    for index in range(len(right)):
        keep = np.arange(len(right)) != index
        is_alone = np.count_nonzero(covariance[index]) == 1
        if not is_alone or np.linalg.matrix_rank(rows[keep]) < rows.shape[1]:
            out.append(None)
            continue
        values, spread, _ = dense(rows[keep], right[keep], covariance[np.ix_(keep, keep)])
        variance = covariance[index, index] + rows[index] @ spread @ rows[index]
        out.append(float((right[index] - rows[index] @ values) / math.sqrt(variance)))
    return out


def pearson():
    x, y, w_x, w_y = (np.array(PEARSON[key], dtype=float) for key in ("x", "y", "x_weights", "y_weights"))
    start = np.array([5.0, -0.5])
    fit = odrpack.odr_fit(
        lambda x, beta: beta[0] + beta[1] * x, x, y, start, weight_x=w_x, weight_y=w_y,
        sstol=1e-15, partol=1e-15, maxit=500,
    )
    robust = scipy.stats.theilslopes(y, x)
    return {
        **PEARSON,
        "odr_intercept": float(fit.beta[0]),
        "odr_slope": float(fit.beta[1]),
        "odr_sum_of_squares": float(fit.sum_square),
        "theil_sen": [float(robust[k]) for k in (0, 1, 2, 3)],
    }


def norris():
    sets = {entry["name"]: entry for entry in json.loads(STRD.read_text())["sets"]}
    rows = np.array(sets["Norris"]["rows"])
    line, robust = scipy.stats.linregress(rows[:, 1], rows[:, 0]), scipy.stats.theilslopes(rows[:, 0], rows[:, 1])
    return {
        "slope": float(line.slope), "intercept": float(line.intercept), "slope_u": float(line.stderr),
        "intercept_u": float(line.intercept_stderr), "theil_sen": [float(robust[k]) for k in (0, 1, 2, 3)],
    }


def impedance():
    """GUM H.2 through a library of numbers with uncertainty."""
    series = np.array([
        [5.007, 4.994, 5.005, 4.990, 4.999],
        [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
        [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
    ])
    volts, amperes, phase = uncertainties.correlated_values(series.mean(axis=1), np.cov(series) / 5)
    results = [volts / amperes * umath.cos(phase), volts / amperes * umath.sin(phase), volts / amperes]
    return {
        "series": series.tolist(),
        "values": [r.nominal_value for r in results],
        "u": [r.std_dev for r in results],
        "correlation": np.array(uncertainties.correlation_matrix(results)).tolist(),
    }


def expressions():
    """Formulas in which inputs occur more than once."""
    x, y = uncertainties.ufloat(3.0, 0.1), uncertainties.ufloat(7.0, 0.2)
    results = {
        "ratio": x / (x + y),
        "log of product": umath.log(x * x * y),
        "root": umath.sqrt(x * y + y**3),
        "exponential": umath.exp(-x / y) * (x - y),
    }
    return {name: [result.nominal_value, result.std_dev] for name, result in results.items()}


def rectangles():
    """Quantiles of sums of four rectangles (JCGM 101, 9.2.3 and 9.2.4) by inverting the exact distribution."""

    def high(deviations):
        halves = np.array(deviations) * math.sqrt(3)
        corners = np.array(np.meshgrid(*[[-1, 1]] * 4)).reshape(4, -1)

        def below(t):
            reach = np.maximum(t + corners.T @ halves, 0) ** 4
            return float(np.sum(np.prod(corners, axis=0) * reach)) / (math.factorial(4) * np.prod(2 * halves))

        return scipy.optimize.brentq(lambda t: below(t) - 0.975, 0, halves.sum())

    return {"equal": high([1, 1, 1, 1]), "one wide": high([1, 1, 1, 10])}


def student():
    dofs = [1, 2, 3, 5, 9, 16, 16.8, 30, 120]
    return {"dof": dofs, "t_975": [float(scipy.stats.t.ppf(0.975, dof)) for dof in dofs]}


def geodesics():
    """Distances on WGS 84 between invented places: steps of a drive, long ways, near poles and antipodes."""
    rng = np.random.default_rng(SEED + 1)
    rows = []
    for length in [1.0, 15.0, 30.0, 100.0, 1e3, 4.9e3, 1e4, 1e5, 1e6, 1e7, 1.99e7]:
        for _ in range(6):
            latitude, longitude = rng.uniform(-89, 89), rng.uniform(-180, 180)
            end = Geodesic.WGS84.Direct(latitude, longitude, rng.uniform(-180, 180), length)
            found = Geodesic.WGS84.Inverse(latitude, longitude, end["lat2"], end["lon2"])
            rows.append([latitude, longitude, end["lat2"], end["lon2"], found["s12"]])
    return rows


def answers():
    rng = np.random.default_rng(SEED)
    shapes = [(2, 3), (3, 4), (4, 8), (6, 12), (8, 22), (5, 30)]
    return {
        "versions": {
            "python": sys.version.split()[0], "numpy": np.__version__, "scipy": scipy.__version__,
            "uncertainties": uncertainties.__version__, "odrpack": odrpack.__version__,
            "geographiclib": geographiclib.__version__,
        },
        "adjustments": [adjustment(rng, *shape, k % 2 == 1) for k, shape in enumerate(shapes * 2)],
        "pearson": pearson(),
        "norris": norris(),
        "impedance": impedance(),
        "expressions": expressions(),
        "rectangles": rectangles(),
        "student": student(),
        "geodesics": geodesics(),
    }


def one_problem_a_line(answers):
    """JSON that a person can compare line by line."""
    adjustments = ",\n  ".join(json.dumps(problem) for problem in answers["adjustments"])
    rest = [f' "{key}": {json.dumps(value)}' for key, value in answers.items() if key != "adjustments"]
    lines = [*rest, f' "adjustments": [\n  {adjustments}\n ]']
    return "{\n" + ",\n".join(lines) + "\n}\n"


def differences(stored, fresh, place=""):
    """Places where two answers differ by more than rounding."""
    if isinstance(stored, dict):
        return [line for key in stored for line in differences(stored[key], fresh[key], f"{place}/{key}")]
    if isinstance(stored, list):
        pairs = enumerate(zip(stored, fresh, strict=True))
        return [line for index, (a, b) in pairs for line in differences(a, b, f"{place}[{index}]")]
    same = math.isclose(stored, fresh, rel_tol=1e-8, abs_tol=1e-10) if isinstance(stored, float) else stored == fresh
    return [] if same else [f"{place}: stored {stored}, now {fresh}"]


def main():
    fresh = answers()
    if "--write" in sys.argv:
        OUTPUTS.write_text(one_problem_a_line(fresh))
        return 0
    stored = json.loads(OUTPUTS.read_text())
    versions = (stored.pop("versions"), fresh.pop("versions"))
    found = differences(stored, fresh)
    print("\n".join(found) or f"all agree; stored with {versions[0]}, now {versions[1]}")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
