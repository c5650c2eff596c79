"""Metric figures within finished sentences, said in the reader's units; the metric one stays."""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Mapping
from typing import Any

from lawnmap.agronomy.unit_systems import CELSIUS, FAHRENHEIT, METRIC, known, unit_for
from lawnmap.agronomy.unit_systems import temperature as fahrenheit
from lawnmap.exports.wording.amounts import decimals_of, number
from lawnmap.exports.wording.switched import in_each
from lawnmap.exports.wording.translated import translated
from lawnmap.pages.readings import FIGURE
from lawnmap.pages.words import language
from lawnmap.reference import tables

UNITS = (
    "kg/m³", "g/m²", "ml/m²", "l/m²", "kg/m²", "kg/ha", "l/ha", "l/min", "m²/h", "m³/h", "km/h",
    "m/s", "kg/l", "g/l", "°C", "mm", "cm", "m²", "m³", "kPa", "bar", "kg", "ha", "ml", "g", "l",
    "m", "t",
)  # fmt: skip
SENTENCES_KEPT = 4096  # what is said of one zone is said of many
BELOW_ONE = 3  # decimals: the metric figure behind it may have three that count
_NUMBER = r"(?<![\w.,/\u2013\u2212-])-?\d+(?:\.\d+)?"
_UNIT = "|".join(re.escape(each) for each in sorted(UNITS, key=len, reverse=True))
# One figure, two ends of a range, the sides of a patch, or heights of cut one after another.
_FIGURES = re.compile(
    rf"(?P<figures>{_NUMBER}(?:(?: to |\u2013)\d+(?:\.\d+)?"
    rf"|(?: × \d+(?:\.\d+)?)(?=\s?m\b)|(?:, \d+(?:\.\d+)?)+(?=\s?mm\b))?)"
    rf"\s?(?P<unit>{_UNIT})(?P<end>\.(?=\s|$))?(?![\w/²³])"
)
# What a label says, for each square metre: mix and ground are turned together or not at all.
_ON_EACH = re.compile(
    rf"(?P<dose>{_NUMBER}) (?P<unit>g|ml) on each m²(?: in (?P<water>\d+(?:\.\d+)?) l of water)?"
)
# Units that a sentence only names, since their number stands in a column or is still to be set.
_NAMED = (("litres a day", "l", "{} a day"), ("__ g/m²", "g/m²", "__ {}"),
          ("grams of nitrogen", "g", "nitrogen"))  # fmt: skip
_WHOLE = "\ufdd5"  # stands for a figure in three systems, in which nothing is turned again
_SPLIT = re.compile(r"\d+(?:\.\d+)?|-\d+(?:\.\d+)?")


def in_units(sentence: str, units: str) -> str:
    """Return a sentence with each metric figure in the reader's units, the metric one behind it.

    Figures that a label or a published page prints keep their own unit that way, and nothing is
    lost by rounding.

    Examples
    --------
    >>> in_units("Start at 2 mm, on a strip of 2 m.", "us")
    'Start at 0.079 in (2 mm), on a strip of 6.56 ft (2 m).'
    >>> in_units("thick (13 to 19 mm)", "us")
    'thick (0.512 to 0.748 in, 13 to 19 mm)'
    """
    if units == METRIC or not sentence:
        return sentence
    return _in_units(sentence, units, language())


@functools.lru_cache(maxsize=SENTENCES_KEPT)
def _in_units(sentence: str, units: str, _: str) -> str:
    """Return a sentence in other units, its numbers as the language that is spoken writes them."""
    for each in _NAMED:
        if each[0] in sentence:
            sentence = sentence.replace(each[0], _named(*each, units))
    whole = (each[0] for each in FIGURE.finditer(sentence))  # these were said in units before
    sentence = FIGURE.sub(_WHOLE, sentence)
    pieces, at = [], 0
    for match in _ON_EACH.finditer(sentence):
        pieces += [_figures(sentence[at : match.start()], units), _on_ground(match, units)]
        at = match.end()
    turned = "".join([*pieces, _figures(sentence[at:], units)])
    return re.sub(_WHOLE, lambda _: next(whole, ""), turned)


def sentence(rule: str, row: Mapping[str, Any], units: str) -> str:
    """Return the sentence of a rule for one row, in the reader's language and units."""
    return in_units(translated(rule) or tables.sentence(rule, row), units)


def _named(phrase: str, metric: str, named: str, units: str) -> str:
    def said(system: str) -> str:
        other = named.format(unit_for(math.inf, metric, system).name)
        return phrase if system == METRIC else other

    return in_each(units, said)


def _figures(text: str, units: str) -> str:
    def said(match: re.Match[str]) -> str:
        return in_each(units, functools.partial(_figure_in, match))

    return _FIGURES.sub(said, text)


def _figure_in(match: re.Match[str], system: str) -> str:
    if not known(match["unit"], system):
        return match[0]
    before = match.string[: match.start()]
    turned = _turned(match["figures"], match["unit"], system)
    if before.endswith((f"{turned} (", f"{turned}, ")):  # it was said already
        return match[0]
    inside = before.count("(") > before.count(")")
    metric = f"{match['figures']} {match['unit']}"
    return _behind(turned, metric, inside=inside) + (match["end"] or "")


def _on_ground(match: re.Match[str], units: str) -> str:
    before = match.string[: match.start()]

    def said(system: str) -> str:
        turned = "" if system == METRIC else _on_each(match, system)
        if not turned or before.endswith(f"{turned} ("):
            return match[0]
        return _behind(turned, match[0], inside=False)

    return in_each(units, said)


def _on_each(match: re.Match[str], units: str) -> str:
    turned = _turned(match["dose"], f"{match['unit']}/m²", units)
    if match["water"]:
        water, _, ground = _turned(match["water"], "l/m²", units).partition(" per ")
        dose, _, same = turned.partition(" per ")
        if same == ground:
            turned = f"{dose} in {water} of water per {ground}"
        else:
            turned += f" in {water} per {ground} of water"
    return turned


def _behind(turned: str, metric: str, *, inside: bool) -> str:
    return f"{turned}, {metric}" if inside else f"{turned} ({metric})"


def _turned(figures: str, metric: str, units: str) -> str:
    """Return figures of one metric unit in the unit in which the largest of them is read."""
    values = [float(each) for each in _SPLIT.findall(figures)]
    if metric == CELSIUS:
        shown = _SPLIT.sub(lambda one: number(fahrenheit(float(one[0])), 1), figures)
        return f"{shown} {FAHRENHEIT}"
    unit = unit_for(max(values, key=abs), metric, units)
    shown = _SPLIT.sub(lambda one: _figure(float(one[0]) / unit.size), figures)
    return f"{shown} {unit.name}"


def _figure(value: float) -> str:
    return number(value, max(decimals_of(value), BELOW_ONE if abs(value) < 1 else 0))
