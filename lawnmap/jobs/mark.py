"""The job ``mark``: a site that is being changed on a page, its draft, and saves that lose nothing.

What is saved is merged, field by field, with what others saved since the page began; only what both
changed differently is asked.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import geopandas as gpd

from lawnmap.errors import Busy, LawnmapError, WriteFailed
from lawnmap.jobs.strokes import checked, warnings_of
from lawnmap.model import Site
from lawnmap.processing.editing.judging import things
from lawnmap.processing.editing.keyed import Changes, Keyed, applied, keyed
from lawnmap.processing.editing.meeting import brought_up, meet, settled
from lawnmap.processing.replying.threeway import Conflict
from lawnmap.readers.picture.photo import photo
from lawnmap.store import backups, photos
from lawnmap.store import site as site_store
from lawnmap.store.draft import Draft, Kept
from lawnmap.store.folder import Folder

Choices = Mapping[str, Mapping[str, str]]  # key, field: "mine" or "theirs"

TRIES = 5  # when others save at the same time
REMEMBERED = 50  # revisions that a page may still be at


class Clash(Busy):
    """Fields that were changed here and elsewhere, each in its own way. Nothing was saved."""

    def __init__(self, conflicts: list[Conflict], theirs: Keyed) -> None:
        count = len({each.key for each in conflicts})
        super().__init__(
            f"{count} of the features you changed were changed elsewhere, too",
            done="Nothing was saved yet; your changes are kept.",
            remedy="Choose for each what is to stand.",
        )
        self.beside = {
            "conflicts": [
                {
                    "key": each.key,
                    "field": each.name,
                    "base": each.base,
                    "mine": each.mine,
                    "theirs": each.theirs,
                }
                for each in conflicts
            ],
            "features": list(theirs.items()),
        }


@dataclass(frozen=True)
class Shown:
    """A site for a page: its features by key, and a draft that fits them, if there is one."""

    site: Site
    features: Keyed
    draft: Kept | None = None


@dataclass(frozen=True)
class MarkReply:
    """A site after a save, its features by key, and what key each had before."""

    site: Site
    features: Keyed
    names: Mapping[str, str]
    warnings: tuple[str, ...] = ()


@dataclass
class Marking:
    """One page's hold on a site. Safe to be used by several threads.

    Attributes
    ----------
    folder : Folder
    draft : Draft
        Where what is not saved yet is kept.
    """

    folder: Folder
    draft: Draft
    _site: Site | None = None
    _now: Keyed = field(default_factory=dict)
    _kept: Changes = field(default_factory=dict)
    _things: gpd.GeoDataFrame | None = None
    _bases: dict[int, Keyed] = field(default_factory=dict)
    _told: dict[tuple[str, str], Any] = field(default_factory=dict)
    _lock: threading.RLock = field(default_factory=threading.RLock)

    def show(self) -> Shown:
        """Return the site as it stands on disk, with the draft brought up to it.

        Raises
        ------
        InputRefused, SiteDamaged
            When it cannot be read.
        """
        with self._lock:
            site = site_store.load(self.folder)
            features = keyed(site.document["features"])
            self._remember(site.revision, features)
            self._site, self._now, self._things = site, features, None
            kept = self.draft.read()
            if kept is not None and kept.revision != site.revision:
                base = self._backup(kept.revision)
                changes, self._bases[site.revision] = brought_up(kept.changes, base, features)
                kept = Kept(site.revision, _plain(changes), kept.saved_at)
            self._kept = kept.changes if kept else {}
            return Shown(site, features, kept if kept and kept.changes else None)

    def obstacles(self) -> gpd.GeoDataFrame:
        """Return what takes area out of a zone, as last drawn."""
        with self._lock:
            if self._things is None:
                self._things = things(applied(self._now, self._kept).values())
            return self._things

    def keys(self) -> set[str]:
        """Return every key that was used since the page began."""
        with self._lock:
            return {*self._kept, *(key for base in self._bases.values() for key in base)}

    @property
    def features(self) -> Keyed:
        """The site's features by key, as last shown or saved."""
        return self._now or self.show().features

    @property
    def site(self) -> Site:
        """The site as last shown or saved."""
        return self._site or self.show().site

    def keep(self, revision: int, changes: Changes) -> None:
        """Keep changes that are not saved yet; they need not be sound.

        Raises
        ------
        WriteFailed
            When the disk does not take them.
        """
        with self._lock:
            kept = _plain(changes)
            self.draft.keep(Kept(revision, kept))
            self._kept, self._things = kept, None

    def forget(self) -> None:
        """Drop the draft."""
        with self._lock:
            self.draft.forget()
            self._kept = {}
            self._things = None

    def save(self, revision: int, changes: Changes, choices: Choices) -> MarkReply:
        """Save changes that were made to a revision.

        Parameters
        ----------
        revision : int
            What the page began from.
        changes : mapping of str to GeoJSON feature or None
            Only what changed.
        choices : mapping of str to mapping
            What is to stand of the conflicts that were told, by key and field.

        Returns
        -------
        MarkReply

        Raises
        ------
        Clash
            When somebody else changed the same fields. Nothing was saved.
        InputRefused
            When a feature is not fit to be saved; with its key and the place on the map.
        Busy, WriteFailed, SiteDamaged
            As for :func:`lawnmap.store.site.save`.
        """
        with self._lock:
            base = self._base(revision)
            sound = checked(changes, base)
            for left in reversed(range(TRIES)):
                there = site_store.load(self.folder)
                both = self._merged(there, base, sound, choices)
                try:
                    return self._saved(there, both, sound)
                except Busy:
                    if not left:
                        raise
            raise AssertionError  # the last try returns or raises

    def photo(self, data: bytes) -> str:
        """Redraw a photo without anything but its pixels, keep it, and return its name.

        Raises
        ------
        InputRefused
            When it cannot be read as a picture.
        """
        return photos.keep(self.folder, photo(data))

    def _merged(self, there: Site, base: Keyed, changes: Changes, choices: Choices) -> Keyed:
        met = meet(there.document["features"], base, changes)
        if not all(self._settled(each, choices) for each in met.conflicts):
            self._told = {(each.key, each.name): each.theirs for each in met.conflicts}
            raise Clash(met.conflicts, met.theirs)
        features = met.features
        for each in met.conflicts:
            features = settled(features, each, choices[each.key][each.name])
        return features

    def _settled(self, conflict: Conflict, choices: Choices) -> bool:
        """Tell whether a choice was made of what still stands there."""
        place = (conflict.key, conflict.name)
        chosen = choices.get(conflict.key, {}).get(conflict.name)
        known = place in self._told and self._told[place] == conflict.theirs
        return known and chosen in {"mine", "theirs"}

    def _saved(self, there: Site, both: Keyed, changes: Changes) -> MarkReply:
        features = list(both.values())
        warnings: tuple[str, ...] = ()
        if features != there.document["features"]:
            made = there.with_features([dict(each) for each in features])
            saved = site_store.save(self.folder, made)
            there, warnings = saved.site, saved.warnings
        with contextlib.suppress(WriteFailed):  # what is left over is seen to be saved already
            self.draft.forget()
        self._told.clear()
        now = keyed(there.document["features"])
        self._bases[there.revision] = now
        self._site, self._now, self._kept, self._things = there, now, {}, None
        names = dict(zip(both, now, strict=True))
        told = warnings_of(now, {names[key] for key in changes if key in names})
        return MarkReply(there, now, names, (*warnings, *told))

    def _remember(self, revision: int, features: Keyed) -> None:
        self._bases.setdefault(revision, features)
        while len(self._bases) > REMEMBERED:
            del self._bases[min(self._bases)]

    def _base(self, revision: int) -> Keyed:
        """Return what a page began from: remembered, or found among the backups."""
        if revision in self._bases:
            return self._bases[revision]
        found = self._backup(revision)
        if found is None:
            site = site_store.load(self.folder)
            if site.revision != revision:
                raise Busy(
                    f"revision {revision}, which this page began from, is no longer kept",
                    done="Nothing was saved; your changes are kept.",
                    remedy="Load the page again: it shows your changes beside the site as it is.",
                )
            found = keyed(site.document["features"])
        self._remember(revision, found)
        return found

    def _backup(self, revision: int) -> Keyed | None:
        for backup in backups.listed(self.folder):
            if backup.revision == revision:
                try:
                    return keyed(backups.read(backup)["features"])
                except LawnmapError:
                    return None
        return None


def _plain(changes: Changes) -> dict[str, dict[str, Any] | None]:
    return {key: None if each is None else dict(each) for key, each in changes.items()}
