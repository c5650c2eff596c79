"""What a GIS sets for itself does not reach lawnmap, and what is the person's does."""

import os

import pytest

from lawnmap.desktop.environment import ASKED, cleaned

# As builds of the GIS set it (from memory; that of Debian was read from the running program).
BUILDS = {
    "Linux": {
        "PYTHONPATH": "/usr/share/qgis/python",
        "LD_LIBRARY_PATH": "/usr/lib/qgis",
        "QGIS_PREFIX_PATH": "/usr",
        "GDAL_DRIVER_PATH": "/usr/lib/gdalplugins",
        "QT_PLUGIN_PATH": "/usr/lib/qt5",
        "VIRTUAL_ENV": "/home/a/.venv",
    },
    "OSGeo4W": {
        "OSGEO4W_ROOT": "C:\\OSGeo4W",
        "PYTHONHOME": "C:\\OSGeo4W\\apps\\Python312",
        "PYTHONUTF8": "0",
        "GDAL_DATA": "C:\\OSGeo4W\\apps\\gdal\\share\\gdal",
        "GDAL_FILENAME_IS_UTF8": "YES",
        "PROJ_DATA": "C:\\OSGeo4W\\share\\proj",
        "PROJ_LIB": "C:\\OSGeo4W\\share\\proj",
        "O4W_QT_PREFIX": "C:\\OSGeo4W\\apps\\Qt5",
        "SSL_CERT_FILE": "C:\\OSGeo4W\\bin\\curl-ca-bundle.crt",
        "VSI_CACHE": "TRUE",
    },
    "macOS": {
        "__PYVENV_LAUNCHER__": "/Applications/QGIS.app/Contents/MacOS/bin/python3",
        "DYLD_LIBRARY_PATH": "/Applications/QGIS.app/Contents/MacOS/lib",
        "DYLD_INSERT_LIBRARIES": "/a.dylib",
        "GDAL_DRIVER_PATH": "/Applications/QGIS.app/Contents/PlugIns",
    },
    "conda": {"CONDA_PREFIX": "/opt/conda/envs/gis", "_CE_CONDA": "", "PROJ_NETWORK": "ON"},
}
KEPT = {"HOME": "/home/a", "LANG": "de_DE.UTF-8", "TMPDIR": "/tmp/a", "APPDATA": "C:\\a"}


@pytest.mark.parametrize("build", BUILDS)
def test_nothing_of_the_gis_is_left(build):
    found = cleaned({**BUILDS[build], **KEPT})
    assert found == {**KEPT, **ASKED}


def test_names_are_met_in_any_case():
    assert cleaned({"PythonPath": "a", "Proj_Lib": "b"}) == ASKED


def test_folders_of_the_gis_are_taken_out_of_the_path():
    given = {
        "CONDA_PREFIX": "/opt/gis",
        "PATH": os.pathsep.join(["/opt/gis/bin", "/opt/gisx", "/bin"]),
    }
    assert cleaned(given)["PATH"] == os.pathsep.join(["/opt/gisx", "/bin"])


def test_the_system_stays_in_the_path():
    path = os.pathsep.join(["/usr/bin", "/bin"])
    assert cleaned({"QGIS_PREFIX_PATH": "/usr", "PATH": path})["PATH"] == path


def test_what_was_given_is_not_changed():
    given = {"PYTHONHOME": "a", "PATH": "/bin"}
    cleaned(given)
    assert given == {"PYTHONHOME": "a", "PATH": "/bin"}
