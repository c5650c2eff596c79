"""The whole set: every kind of input with its runs."""

from tests.hostile import archives, databases, drawings, folders, images, paths, texts
from tests.readers.mutants import LONG

GROUPS = {
    "GeoJSON, KML, GPX, OSM, CSV, tape": texts.cases,
    "zip archives": archives.cases,
    "DXF": drawings.cases,
    "GeoPackage, shapefile, FlatGeobuf, GeoParquet": databases.cases,
    "pictures, pages, world files, control points": images.cases,
    "pipes, devices, links, streams, other commands": paths.cases,
    "site folders and replies": folders.cases,
}

# Run in the long profile only: each takes long, or says little more of its reader than another.
RARE = set(
    """
    rowless view.gpkg;loaded.gpkg;read file.gpkg;rating.gpkg;unsound.gpkg;zeros.gpkg;junk.gpkg;
    cut body.shp;place by file.shp;cut table.shp;upper case.shp;head.fgb;huge head.fgb;rating.fgb;
    claims many.fgb;junk.parquet;cut.parquet;deep.parquet;true.parquet;unsound.parquet;
    tower.dxf;infinity.dxf;open.dxf;vertices.dxf;self.dxf;eight deep.dxf;numbers.dxf;cut.dxf;
    cut.jpg;flat tags.tif;head.png;loop.tif;loop.pdf;script.pdf;
    world huge;world markup;world nuls;world three lines;
    control one place;control one point;control nan;control columns of commas;control nothing;
    control no columns;control address;control quote;control same name;control formula;
    elements.kml
    """.replace("\n", "")
    .replace("    ", "")
    .split(";")
)


def runs_of(group):
    """Return the runs of one group, those of the long profile only then."""
    return [case for case in GROUPS[group]() if LONG or case.name not in RARE]


def every(*, rare=LONG):
    """Return every run of the set, with those of the long profile if asked for."""
    return [case for group in GROUPS.values() for case in group() if rare or case.name not in RARE]
