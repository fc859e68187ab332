"""Draws: PERT and lognormal inputs, correlated by groups, the same for the same seed and name.

Each parameter has its own stream, seeded by the run's seed and its own name: adding a
parameter, changing a part or taking another route leaves all other draws as they were, so two
estimates differ only by what differs (common random numbers). Low and high are bounds for PERT
inputs and the 10th and 90th percentile for lognormal ones.

Sampled arrays are remembered, as most parameters are the same for all parts; they are read-only.
"""

from __future__ import annotations

import math
import zlib
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from rfq.engine.cost.arrays import Array
from rfq.engine.cost.errors import EstimateError
from rfq.model.codes import Basis

#: Standard normal deviate of the 90th percentile.
Z90 = 1.2815515655446004

#: Correlation between the members of a group; common practice.
GROUPS: dict[str, float] = {"cutting": 0.3, "rates": 0.8, "complexity": 0.5, "build": 0.3}

_Z_GRID: Array = np.linspace(-4.5, 4.5, 1801)
_U_GRID: Array = np.array([0.5 * math.erfc(-z / math.sqrt(2.0)) for z in _Z_GRID])
_ARC: Array = np.linspace(0.0, math.pi, 4097)
_X_GRID: Array = np.sin(_ARC / 2.0) ** 2  # dense at both ends


@dataclass(frozen=True, slots=True)
class Parameter:
    """One input of the estimate.

    Args:
        name: plain words with underscores; the key in rates.toml.
        low, typical, high: bounds and mode (PERT), or P10, typical and P90 (lognormal).
        unit: unit of the three.
        kind: distribution.
        group: correlation group, or ''.
        basis: what it rests on.
        source: source in words.
    """

    name: str
    low: float
    typical: float
    high: float
    unit: str = ""
    kind: Literal["PERT", "lognormal"] = "PERT"
    group: str = ""
    basis: Basis = Basis.PRACTICE
    source: str = "common practice"

    def __post_init__(self) -> None:
        numbers = (self.low, self.typical, self.high)
        if not all(math.isfinite(x) for x in numbers) or not self.low <= self.typical <= self.high:
            raise EstimateError(
                self.name, f"{self.name}: low, typical and high must be numbers in that order"
            )
        if self.kind == "lognormal" and self.low <= 0:
            raise EstimateError(self.name, f"{self.name}: a price or rate must be above zero")

    @property
    def median(self) -> float:
        """The 50th percentile."""
        return float(transform(self, np.zeros(1))[0])

    def at(self, z: float) -> float:
        """The value at a standard normal deviate."""
        return float(transform(self, np.array([z]))[0])


def pert_shape(low: float, typical: float, high: float) -> tuple[float, float]:
    """Shape parameters of a PERT: 1 + 4 (m - a) / (b - a), 1 + 4 (b - m) / (b - a).

    >>> pert_shape(35.0, 60.0, 110.0)
    (2.33333, 3.66667)
    """
    span = high - low
    return 1.0 + 4.0 * (typical - low) / span, 1.0 + 4.0 * (high - typical) / span


def pert_mean_sd(low: float, typical: float, high: float) -> tuple[float, float]:
    """Mean (a + 4 m + b) / 6 and standard deviation of a PERT.

    >>> pert_mean_sd(35.0, 60.0, 110.0)
    (64.16667, 13.81927)
    """
    if low == high:
        return low, 0.0
    alpha, beta = pert_shape(low, typical, high)
    total = alpha + beta
    variance = alpha * beta * (high - low) ** 2 / (total**2 * (total + 1.0))
    return (low + 4.0 * typical + high) / 6.0, math.sqrt(variance)


def triangular_mean_sd(low: float, typical: float, high: float) -> tuple[float, float]:
    """Mean and standard deviation of a triangular distribution.

    >>> triangular_mean_sd(35.0, 60.0, 110.0)
    (68.33333, 15.59024)
    """
    a, m, b = low, typical, high
    return (a + m + b) / 3.0, math.sqrt((a * a + m * m + b * b - a * m - a * b - m * b) / 18.0)


def lognormal_mu_sigma(p10: float, p90: float) -> tuple[float, float]:
    """Mean and standard deviation of the logarithm from P10 and P90.

    >>> mu, sigma = lognormal_mu_sigma(35.0, 110.0)
    >>> math.exp(mu), sigma
    (62.0484, 0.4467757)
    """
    low, high = math.log(p10), math.log(p90)
    return (low + high) / 2.0, (high - low) / (2.0 * Z90)


@lru_cache(maxsize=512)
def _unit_pert(mode: float) -> Array:
    """Quantiles on the z grid of a PERT on 0..1 whose mode is given; by quadrature."""
    density = _X_GRID ** (4.0 * mode) * (1.0 - _X_GRID) ** (4.0 * (1.0 - mode))
    per_arc = density * np.sin(_ARC)
    steps = (per_arc[1:] + per_arc[:-1]) / 2.0
    below = np.concatenate([[0.0], np.cumsum(steps)])
    return np.interp(_U_GRID, below / below[-1], _X_GRID)


def transform(parameter: Parameter, z: Array) -> Array:
    """Values of a parameter at standard normal deviates z."""
    low, typical, high = parameter.low, parameter.typical, parameter.high
    if low == high:
        return np.full(z.shape, low)
    if parameter.kind == "lognormal":
        mu, sigma = lognormal_mu_sigma(low, high)
        return np.exp(mu + sigma * z)
    mode = round((typical - low) / (high - low), 12)
    return low + (high - low) * np.interp(z, _Z_GRID, _unit_pert(mode))


@lru_cache(maxsize=512)
def normals(name: str, seed: int, draws: int) -> Array:
    """Standard normal deviates of one stream, read-only."""
    stream = np.random.PCG64(np.random.SeedSequence([seed, zlib.crc32(name.encode())]))
    found = np.random.Generator(stream).standard_normal(draws)
    found.flags.writeable = False
    return found


@lru_cache(maxsize=1024)
def sample(parameter: Parameter, seed: int, draws: int) -> Array:
    """Draws of one parameter, read-only.

    Members of a group share a common deviate: z = sqrt(rho) z_group + sqrt(1 - rho) z_own, so
    that any two correlate by rho (Gaussian copula).
    """
    z = normals(parameter.name, seed, draws)
    rho = GROUPS.get(parameter.group, 0.0)
    if rho:
        shared = normals(f"group {parameter.group}", seed, draws)
        z = math.sqrt(rho) * shared + math.sqrt(1.0 - rho) * z
    found = transform(parameter, z)
    found.flags.writeable = False
    return found


@lru_cache(maxsize=1024)
def ranks(parameter: Parameter, seed: int, draws: int) -> Array:
    """Centred, scaled ranks of a parameter's draws, for rank correlation; read-only."""
    found = scaled_ranks(sample(parameter, seed, draws))
    found.flags.writeable = False
    return found


def scaled_ranks(values: Array) -> Array:
    """Ranks 0 .. n-1, centred and scaled to unit length (ties broken by position)."""
    order = np.empty(values.size)
    order[np.argsort(values, kind="stable")] = np.arange(values.size)
    order -= (values.size - 1) / 2.0
    length = float(np.sqrt(np.sum(order**2)))
    return order / length if length else order
