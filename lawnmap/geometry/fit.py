"""Control points: the similarity or the affine that fits them best, and how well it does.

Four-parameter and six-parameter transformations by least squares: Ghilani and Wolf, Adjustment
Computations, chapter 18. Everything is worked out about the middle of the points and to their
spread, so that coordinates of millions of metres cost no digits.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

LEAST = {"similarity": 2, "affine": 3}  # points that fix it, and then leave no check
WORDS = {"similarity": "two", "affine": "three"}
CONDITION = 1e5  # of the design about the middle and to the spread; past it the points are a line
ONE_PLACE = 1e-12  # of the coordinates' size: what the spread of points in one place rounds to
FARTHEST, NEAREST = 1e12, 1e-12  # of any coordinate in any unit, and of any two points


@dataclass(frozen=True, eq=False)
class Adjusted:
    """What every least-squares fit of control points knows of itself.

    Attributes
    ----------
    residuals : (n, 2) array
        Fitted less given, in target units.
    s0 : float or None
        Standard error of unit weight: without weights that of one coordinate of one point, in
        target units. None when the fit is exact.
    cofactors : (k, k) array
        Of the parameters but the shifts; times s0² their covariance.
    """

    residuals: Floats = field(repr=False)
    s0: float | None
    cofactors: Floats = field(repr=False)

    @property
    def rmse(self) -> float:
        """Root mean square of the residuals' lengths."""
        return float(np.sqrt((self.residuals**2).sum() / len(self.residuals)))

    @property
    def checked(self) -> bool:
        """Whether there are more points than the fit needs; else it is exact and proves nothing."""
        return self.s0 is not None

    def _error(self, slope: tuple[float, ...]) -> float | None:
        """Return the standard error of a function of the parameters with that slope."""
        if self.s0 is None:
            return None
        along = np.array(slope)
        return self.s0 * float(np.sqrt(along @ self.cofactors @ along))


@dataclass(frozen=True, eq=False)
class Similarity(Adjusted):
    """X = a·x - b·y + east, Y = b·x + a·y + north."""

    a: float
    b: float
    east: float
    north: float

    @property
    def spare(self) -> int:
        """How many coordinates there are more than needed."""
        return self.residuals.size - 4

    @property
    def scale(self) -> float:
        """Target units to one source unit."""
        return float(np.hypot(self.a, self.b))

    @property
    def scale_sigma(self) -> float | None:
        """Standard error of the scale; None when the fit is exact."""
        return self._error((self.a / self.scale, self.b / self.scale))

    @property
    def turn_deg(self) -> float:
        """Turn of the source, anticlockwise [°]."""
        return float(np.degrees(np.arctan2(self.b, self.a)))

    def apply(self, xy: Floats) -> Floats:
        """Return (n, 2) points moved."""
        x, y = xy[:, 0], xy[:, 1]
        return np.column_stack(
            [self.a * x - self.b * y + self.east, self.b * x + self.a * y + self.north]
        )


@dataclass(frozen=True, eq=False)
class Affine(Adjusted):
    """X = a·x + b·y + c, Y = d·x + e·y + f."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    @property
    def spare(self) -> int:
        """How many coordinates there are more than needed."""
        return self.residuals.size - 6

    @property
    def determinant(self) -> float:
        """Target area to one source area; negative when the source is seen from behind."""
        return self.a * self.e - self.b * self.d

    @property
    def mirrored(self) -> bool:
        """Whether the source is seen from behind."""
        return self.determinant < 0

    @property
    def scale_x(self) -> float:
        """Target units to one source unit along x."""
        return float(np.hypot(self.a, self.d))

    @property
    def scale_y(self) -> float:
        """Target units to one source unit along y."""
        return float(np.hypot(self.b, self.e))

    @property
    def scale(self) -> float:
        """The square root of target area to one source area."""
        return float(np.sqrt(abs(self.determinant)))

    @property
    def scale_sigma(self) -> float | None:
        """Standard error of `scale`; None when the fit is exact."""
        error = self._error((self.e, -self.d, -self.b, self.a))  # of the determinant
        return None if error is None else error / (2 * self.scale)

    @property
    def turn_deg(self) -> float:
        """Turn of the source's x axis, anticlockwise [°]."""
        return float(np.degrees(np.arctan2(self.d, self.a)))

    @property
    def shear(self) -> float:
        """How far the angle from x to y axis falls short of a right one [rad].

        Of a mirrored fit, from x to the opposite of y.
        """
        side = -1.0 if self.mirrored else 1.0
        leaning = side * (self.a * self.b + self.d * self.e)
        return float(np.arctan2(leaning, abs(self.determinant)))

    def apply(self, xy: Floats) -> Floats:
        """Return (n, 2) points moved."""
        x, y = xy[:, 0], xy[:, 1]
        return np.column_stack([self.a * x + self.b * y + self.c, self.d * x + self.e * y + self.f])


def fitted(
    source: Floats, target: Floats, kind: str, sigma: Floats | None = None
) -> Similarity | Affine:
    """Return the least-squares fit of that kind; see :func:`similarity` and :func:`affine`."""
    return (affine if kind == "affine" else similarity)(source, target, sigma)


def similarity(source: Floats, target: Floats, sigma: Floats | None = None) -> Similarity:
    """Return the least-squares similarity (four parameters) from `source` to `target`.

    A similarity turns, scales and shifts; it cannot mirror.

    Parameters
    ----------
    source, target : (n, 2) arrays
        Two points or more.
    sigma : (n, 2) array, optional
        Standard errors of the target's coordinates; weights are 1/sigma². All alike when not given.

    Raises
    ------
    ValueError
        In plain words, with fewer than two different points or a coordinate that is not finite.
    """
    _check(source, target, "similarity")
    middle, spread = _middle(source)
    u, v = ((source - middle) / spread).T
    zero, one = np.zeros(len(u)), np.ones(len(u))
    design = np.stack([[u, -v, one, zero], [v, u, zero, one]]).transpose(2, 0, 1)
    (a, b, east, north), solved = _solved(design, target, sigma, spread)
    east += -a * middle[0] + b * middle[1]
    north += -b * middle[0] - a * middle[1]
    return Similarity(*solved, float(a), float(b), float(east), float(north))


def affine(source: Floats, target: Floats, sigma: Floats | None = None) -> Affine:
    """Return the least-squares affine (six parameters) from `source` to `target`.

    Parameters
    ----------
    source, target : (n, 2) arrays
        Three points or more.
    sigma : (n, 2) array, optional
        Standard errors of the target's coordinates; weights are 1/sigma². All alike when not given.

    Raises
    ------
    ValueError
        In plain words, with too few points, points on a line, or a coordinate that is not finite.
    """
    _check(source, target, "affine")
    middle, spread = _middle(source)
    u, v = ((source - middle) / spread).T
    zero, one = np.zeros(len(u)), np.ones(len(u))
    singular = np.linalg.svd(np.column_stack([u, v, one]), compute_uv=False)
    if singular[-1] * CONDITION <= singular[0]:
        raise ValueError("the control points lie on a line")
    design = np.stack([[u, v, zero, zero, one, zero], [zero, zero, u, v, zero, one]])
    (a, b, d, e, c, f), solved = _solved(design.transpose(2, 0, 1), target, sigma, spread)
    c -= a * middle[0] + b * middle[1]
    f -= d * middle[0] + e * middle[1]
    return Affine(*solved, *(float(each) for each in (a, b, c, d, e, f)))


def _check(source: Floats, target: Floats, kind: str) -> None:
    if len(source) != len(target) or len(source) < LEAST[kind]:
        raise ValueError(f"at least {WORDS[kind]} control points are needed")
    for points in (source, target):
        size = float(np.abs(points).max())
        if not size < FARTHEST:
            raise ValueError("a control point is not finite, or out of all reach")
        if float(np.ptp(points, axis=0).max()) <= max(ONE_PLACE * size, NEAREST):
            raise ValueError("the control points are all in one place")


def _middle(points: Floats) -> tuple[Floats, float]:
    """Return the middle of points and their root mean square distance from it."""
    middle: Floats = points.mean(axis=0)
    return middle, float(np.sqrt(((points - middle) ** 2).sum() / len(points)))


def _solved(
    design: Floats, target: Floats, sigma: Floats | None, spread: float
) -> tuple[Floats, tuple[Floats, float | None, Floats]]:
    """Return the parameters about the middle, shifts last, and what the fit knows of itself.

    `design` is (n, 2, k): of each point the rows of X and of Y.
    """
    aim = target.mean(axis=0)
    errors = np.ones_like(target) if sigma is None else np.asarray(sigma, dtype=np.float64)
    if not (np.isfinite(errors).all() and (errors > 0).all()):
        raise ValueError("a standard error of a control point is not above zero")
    weight = 1 / errors.ravel()
    rows = design.reshape(len(weight), -1)
    wanted = (target - aim).ravel()
    orthogonal, upper = np.linalg.qr(rows * weight[:, None])
    parameters = np.linalg.solve(upper, orthogonal.T @ (wanted * weight))
    misfit = rows @ parameters - wanted
    back = np.linalg.inv(upper)
    count = len(parameters)
    to_units = np.where(np.arange(count) < count - 2, 1 / spread, 1.0)
    cofactors = (back @ back.T * np.outer(to_units, to_units))[:-2, :-2]
    spare = len(weight) - count
    s0 = float(np.sqrt(((misfit * weight) ** 2).sum() / spare)) if spare > 0 else None
    parameters = parameters * to_units
    parameters[-2:] += aim
    return parameters, (misfit.reshape(-1, 2), s0, cofactors)
