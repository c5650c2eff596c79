"""How Sphinx makes the site: python docs/website/build.py calls it on a copy of docs/."""

from __future__ import annotations

import sys
from pathlib import Path

from pygments.lexers.special import TextLexer
from sphinx.highlighting import lexers

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

lexers["csv"] = TextLexer()  # a table needs no colours

project = "lawnmap"
html_title = "lawnmap"
extensions = [
    "myst_nb",
    "sphinx.ext.autodoc",
    "sphinx.ext.napoleon",
    "site_extension",
]
exclude_patterns = ["**/.ipynb_checkpoints"]
nitpicky = True
# Names of other packages: their lists of names would have to be fetched, and nothing is.
# Nor is "array, shape (n,)" a name: types in docstrings are for people.
nitpick_ignore_regex = [
    (r"py:(class|obj|meth)", r"(?!lawnmap\.).*"),
    (r"py:class", r"lawnmap\.exports\..*"),  # rooms that nobody outside builds on
    (
        r"py:class",
        r"lawnmap\..*\.(Task|Result|Result_co|Route|T)",
    ),  # names for what may be any type
]
# Two modules may each have a Row: a short name leads to the one that stands nearest.
suppress_warnings = ["ref.python"]

myst_enable_extensions = ["attrs_inline"]
myst_heading_anchors = 4
# The notebook is run by the build, and a fault in it ends the build.
nb_execution_mode = "force"
nb_execution_raise_on_error = True
nb_execution_timeout = 120
nb_merge_streams = True

autodoc_default_options = {"members": True, "member-order": "bysource"}
autodoc_typehints = "signature"
autodoc_typehints_format = "short"
python_use_unqualified_type_names = True
python_maximum_signature_line_length = 88
napoleon_use_param = False
napoleon_use_rtype = False
napoleon_use_ivar = True
napoleon_custom_sections = ["Sources"]
napoleon_google_docstring = False

html_theme = "furo"
html_static_path = [str(HERE / "static")]
html_css_files = ["site.css"]
html_js_files = ["site.js"]
html_domain_indices = False
html_copy_source = False
html_show_sourcelink = False
# Extracts in the list of results are fetched, which a page that was opened from disk may not.
html_show_search_summary = False
html_theme_options = {"navigation_with_keys": True}
