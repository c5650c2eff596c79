"""Rings that are hard to mend: stars, combs, spirals, walks and scribbles, in metres."""

from __future__ import annotations

import math
import random

import numpy as np


def star(corners, step):
    """Return the star {corners/step}: every corner joined to that `step` further on."""
    angle = 2 * np.pi * ((np.arange(corners) * step) % corners) / corners
    return 50 * np.column_stack([np.cos(angle), np.sin(angle)])


def comb(corners):
    """Return a comb laid over another at a right angle: every tooth crosses every other."""
    half = corners // 2
    at = np.arange(half)
    along = np.column_stack([at / half * 100, np.where(at % 2, 100, 0)])
    across = np.column_stack([np.where(at % 2, 0, 100), 100 - at / half * 100])
    return np.vstack([along, across])


def spiral(corners, turns=30):
    """Return a spiral, closed straight through all its turns."""
    angle = np.linspace(0, 2 * np.pi * turns, corners)
    reach = 1 + 49 * angle / angle[-1]
    return np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])


def walk(corners, seed=1):
    """Return a walk whose every step goes anywhere."""
    return np.cumsum(np.random.default_rng(seed).normal(size=(corners, 2)), axis=0)


def scribble(corners, seed=1):
    """Return corners anywhere in a square: some third of all pairs of sides cross."""
    return np.random.default_rng(seed).uniform(0, 100, (corners, 2))


def grid_walk(corners, seed=1):
    """Return a walk on a grid, where sides lie on each other again and again."""
    chance = random.Random(seed)
    steps = [chance.choice([(1, 0), (-1, 0), (0, 1), (0, -1)]) for _ in range(corners)]
    return np.cumsum(np.array(steps, dtype=float), axis=0)


def twice_round(corners):
    """Return a circle walked many times over, each time on the same corners."""
    angle = 2 * np.pi * (np.arange(corners) % 50) / 50
    return 50 * np.column_stack([np.cos(angle), np.sin(angle)])


def near_twice_round(corners, seed=1):
    """Return a circle walked many times over, a hair beside itself."""
    angle = 2 * np.pi * (np.arange(corners) % 50) / 50
    reach = 50 + np.random.default_rng(seed).normal(size=corners) * 1e-6
    return np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])


def zigzag(corners):
    """Return a ring that folds along one line thousands of times."""
    at = np.arange(corners)
    return np.column_stack([np.where(at % 2, 100.0, 0.0), at * 1e-9])


def gear(corners):
    """Return a sound ring with as many corners as there are to be."""
    angle = 2 * math.pi * np.arange(corners) / corners
    reach = np.where(np.arange(corners) % 2, 60.0, 50.0)
    return np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])
