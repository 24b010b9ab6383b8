#!/usr/bin/env python3
"""The same problems through general reference libraries; the answers are stored with the versions.

    pip install numpy scipy geographiclib
    python compare.py            # compares fresh answers with outputs.json
    python compare.py --write    # writes outputs.json again

The Rust tests read outputs.json: they need no Python.
"""

import json
import math
import pathlib
import sys

import geographiclib
import numpy as np
import scipy
import scipy.stats
from geographiclib.geodesic import Geodesic

HERE = pathlib.Path(__file__).parent
OUTPUTS = HERE / "outputs.json"
SEED = 20260101


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
            "geographiclib": geographiclib.__version__,
        },
        "adjustments": [adjustment(rng, *shape, k % 2 == 1) for k, shape in enumerate(shapes * 2)],
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
