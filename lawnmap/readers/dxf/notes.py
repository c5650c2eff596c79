"""What was left out of a drawing, counted as it is met and told in whole sentences."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

MOST_NAMED = 8

# What people call the entities that are not read; any other goes by its own name.
WORDS = {
    "3DFACE": "3D face",
    "3DSOLID": "3D solid",
    "ACAD_PROXY_ENTITY": "object of another program",
    "ACAD_TABLE": "table",
    "ARC_DIMENSION": "dimension",
    "BODY": "3D solid",
    "DIMENSION": "dimension",
    "IMAGE": "image",
    "LEADER": "leader",
    "LARGE_RADIAL_DIMENSION": "dimension",
    "MESH": "mesh",
    "MLINE": "multiline",
    "MULTILEADER": "leader",
    "OLE2FRAME": "embedded object",
    "PDFUNDERLAY": "underlay",
    "RAY": "endless line",
    "REGION": "region",
    "SURFACE": "surface",
    "WIPEOUT": "wipe-out",
    "XLINE": "endless line",
}


@dataclass
class Notes:
    """What was noticed on the way through a drawing.

    Attributes
    ----------
    hidden : Counter
        Entities by the layer that is off or frozen.
    not_read : Counter
        Entities by DXF name, of kinds that are no outline, line or point.
    references : dict
        Other drawings that this one refers to.
    missing : Counter
        Inserts by the name of a block that is not in the drawing.
    told : dict of str to Counter
        Any other remark to the layers it befell.
    """

    hidden: Counter[str] = field(default_factory=Counter)
    not_read: Counter[str] = field(default_factory=Counter)
    references: dict[str, None] = field(default_factory=dict)
    missing: Counter[str] = field(default_factory=Counter)
    told: dict[str, Counter[str]] = field(default_factory=dict)

    def tell(self, remark: str, layer: str) -> None:
        """Remember that `remark` befell one more entity of `layer`."""
        self.told.setdefault(remark, Counter())[layer] += 1

    def sentences(self, layer: str) -> list[str]:
        """Return what concerns the whole drawing, and what befell `layer`."""
        said = []
        if self.hidden:
            said.append(f"Left out, on layers that are off or frozen: {_counted(self.hidden)}.")
        if self.not_read:
            said.append(f"Not read: {_kinds(self.not_read)}.")
        if self.references:
            said.append(
                f"Other drawings that this one refers to are not read: {_named(self.references)}."
            )
        if self.missing:
            said.append(f"Blocks that are inserted but not in the drawing: {_named(self.missing)}.")
        said += [
            f"{remark}: {counts[layer]} on layer {layer}."
            for remark, counts in self.told.items()
            if counts[layer]
        ]
        return said


def _counted(counts: Mapping[str, int]) -> str:
    return _named(f"{name} ({count})" for name, count in counts.items())


def _kinds(counts: Mapping[str, int]) -> str:
    words: Counter[str] = Counter()
    for name, count in counts.items():
        words[WORDS.get(name, name)] += count
    plural = {"mesh": "meshes", "wipe-out": "wipe-outs"}
    return _named(
        f"{count} {word if count == 1 else plural.get(word, word + 's')}"
        for word, count in words.most_common()
    )


def _named(names: Iterable[str]) -> str:
    every = list(names)
    more = len(every) - MOST_NAMED
    shown = ", ".join(every[:MOST_NAMED])
    return f"{shown} and {more} more" if more > 0 else shown
