"""The shapes of the rows of the reference tables; the types say how a cell is read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from lawnmap.errors import LawnmapError

if TYPE_CHECKING:
    from collections.abc import Mapping


class SourceMissing(LawnmapError, LookupError):
    """A rule, value or source was asked for that the tables do not have: a fault in lawnmap."""

    default_done = "Nothing was changed."


@dataclass(frozen=True)
class Source:
    """Who said it. `grade`: A law or science, B advice services, C trade, D others."""

    id: str
    author: str
    title: str
    publisher: str
    year: str
    where: str
    grade: str
    seen: str


@dataclass(frozen=True)
class ReferenceValue:
    """A figure, the range it lies in, and for what it holds."""

    id: str
    value: float | None
    low: float
    high: float
    unit: str
    conditions: str
    source: str
    standing: str

    @property
    def number(self) -> float:
        """The single figure, for values that have one.

        Raises
        ------
        SourceMissing
            When there is only a range.
        """
        if self.value is None:
            raise SourceMissing(f"the value {self.id!r} is a range and has no single figure")
        return self.value


@dataclass(frozen=True)
class Rule:
    """Why a number or a choice is as it is: a sentence with blanks."""

    id: str
    sentence: str
    inputs: tuple[str, ...]
    values: tuple[str, ...]
    sources: tuple[str, ...]
    standing: str


@dataclass(frozen=True)
class RatingClass:
    """One class of a scale; half-open, the lower edge belongs to it."""

    scale: str
    rating: int
    lower: float
    upper: float
    word: str
    most_passes: int
    applications: int | None
    arisings: str
    source: str
    standing: str


@dataclass(frozen=True)
class Turf:
    """What a turf type changes: scale of thatch; ids of limits, depth and heights; crossing."""

    turf_type: str
    scale: str
    measured_only: bool
    act: str
    staged: str
    too_deep: str
    depth: str
    mow_before: str
    mow_before_seed: str
    first_cut: str
    crossing: str
    lawn_sand: bool
    source: str
    standing: str


@dataclass(frozen=True)
class Interval:
    """Days to wait; None is not set: only the label can say, and until it does: do not apply."""

    before: str
    after: str
    least_days: int | None
    usual_days: int | None
    most_days: int | None
    conditions: str
    source: str
    standing: str


@dataclass(frozen=True)
class GenericMachine:
    """A tool or machine of no make, for when the user's own has no card."""

    id: str
    name: str
    kind: str
    width_m: float | None
    speed_km_h: float | None
    efficiency_low: float | None
    efficiency_high: float | None
    area_low_m2_h: float | None
    area_high_m2_h: float | None
    water_l_m2: float | None
    tank_l: float | None
    box_l: float | None
    most_slope_deg: float | None
    vibration_m_s2: float | None
    yield_share: float | None
    source: str
    standing: str


@dataclass(frozen=True)
class Seed:
    """A species or mixture: rates, size of seed, days to emerge."""

    id: str
    name: str
    new_low_g_m2: float
    new_high_g_m2: float
    overseed_low_g_m2: float
    overseed_high_g_m2: float
    seeds_low_g: float | None
    seeds_high_g: float | None
    emerge_low_d: int
    emerge_high_d: int
    shade_rank: int | None
    source: str
    size_source: str
    emerge_source: str
    standing: str


@dataclass(frozen=True)
class Dissolves:
    """Most iron(II) sulphate heptahydrate in a litre of mix at one water temperature."""

    water_c: float
    printed_g_100ml: float
    ceiling_g_l: float
    source: str
    standing: str


@dataclass(frozen=True)
class Caution:
    """A warning: `applies_to` is a treatment kind, ``iron``, or a kind of machine."""

    id: str
    applies_to: str
    sentence: str
    source: str
    standing: str


@dataclass(frozen=True)
class Kit:
    """What goes on the van beside machines and products.

    Attributes
    ----------
    part : str
        Under which heading it is listed.
    applies_to : tuple of str
        Kinds of treatment, operations, kinds of machine, ``iron``, or ``any``.
    """

    id: str
    part: str
    applies_to: tuple[str, ...]
    item: str
    source: str
    standing: str


@dataclass(frozen=True)
class Season:
    """Days of the year for one role, north of the equator, both in.

    Attributes
    ----------
    first, last : (month, day)
    seed : str
        ``yes`` only where seed follows, ``no`` only where none does, ``any``.
    asked : bool
        Whether it is open only when the site's choices name the season.
    soil_gate : bool
        Whether the warmth of the soil counts, where it is known.
    flag, rule : str
        Rules: what to say when a day in it is planned (may be empty), and why it is as it is.
    """

    id: str
    role: str
    season: str
    first: tuple[int, int]
    last: tuple[int, int]
    seed: str
    asked: bool
    soil_gate: bool
    flag: str
    rule: str
    conditions: str
    source: str
    standing: str


@dataclass(frozen=True)
class Gate:
    """What has to be true on the day, to be ticked before work begins."""

    id: str
    applies_to: str
    sentence: str
    source: str
    standing: str


@dataclass(frozen=True)
class Salt:
    """A compound by its atoms."""

    formula: str
    name: str
    atoms: Mapping[str, int]
