"""What this site adds to Sphinx: links from names to their pages, and a short navigation.

Pages in docs/ write names as code: `moss_rating`, `leave_alone`, `lawnmap plan SITE`. On the site
each is a link to the page of that column, rule, treatment or command, and the text stays plain.
"""

from __future__ import annotations

import re
from html import escape
from typing import Any

import source_tree
from docutils import nodes
from item_text import by_name
from sphinx.application import Sphinx
from treatment_facts import order

from lawnmap.reference import tables

ANCHOR = re.compile(r'<a id="([^"]+)"></a>')
COMMAND = re.compile(r"lawnmap ([a-z]+)\b")
# Tables whose first cells are names, however short, by page and heading.
LISTS = {
    ("formats", "what-is-read"): "readers",
    ("formats", "what-comes-out"): "exports",
    ("columns", ""): "columns",
    ("reference_values", "rules"): "rules",
}


def setup(app: Sphinx) -> dict[str, Any]:
    """Register what is added."""
    app.connect("source-read", _anchors)
    app.connect("doctree-resolved", _link_names)
    app.connect("html-page-context", _navigate, priority=100)
    return {"version": "1", "parallel_read_safe": True, "parallel_write_safe": True}


def _anchors(_app: Sphinx, _page: str, source: list[str]) -> None:
    """Make places that plain pages mark with an empty link known to the generator."""
    source[0] = ANCHOR.sub(r"[]{#\1}", source[0])


def _link_names(app: Sphinx, doctree: nodes.document, page: str) -> None:
    for literal in list(doctree.findall(nodes.literal)):
        if _inside(literal, nodes.reference, nodes.title):
            continue
        target = _target(literal, page, app)
        if target and target != page:
            address = app.builder.get_relative_uri(page, target) + _place(literal, app)
            link = nodes.reference("", "", refuri=address, internal=True)
            literal.replace_self(link)
            link += literal


def _place(literal: nodes.literal, app: Sphinx) -> str:
    """Return the place on the page of names where a module begins; empty for anything else."""
    name = literal.astext()
    found = app.env.domaindata["py"]["modules"].get(name)
    return f"#{found.node_id}" if found and "." in name else ""


def _inside(node: nodes.Node, *kinds: type[nodes.Node]) -> bool:
    while node.parent is not None:
        node = node.parent
        if isinstance(node, kinds):
            return True
    return False


def _target(literal: nodes.literal, page: str, app: Sphinx) -> str:
    """Return the page of what a piece of code names; empty when it is nobody's name."""
    name = literal.astext()
    if name in _modules(app):
        return _modules(app)[name]
    command = COMMAND.match(name)
    found = f"commands/{command[1]}" if command else _listed(literal, page) or _of_name(name)
    return found if found in app.env.all_docs else ""


def _modules(app: Sphinx) -> dict[str, str]:
    """Return the page of each module whose names are on one."""
    found: dict[str, Any] = app.env.domaindata["py"]["modules"]
    return {name: entry.docname for name, entry in found.items() if "." in name}


def _of_name(name: str) -> str:
    """Return the page of a name that can hardly be another's: it has a part behind ``_``."""
    if "_" not in name:
        return ""
    if name in by_name():
        return f"columns/{name}"
    if name in tables.rules():
        return f"rules/{name}"
    return f"treatments/{name}" if name in order() else ""


def _listed(literal: nodes.literal, page: str) -> str:
    """Return the page of a name in the first cell of a table that lists such things."""
    entry = literal.parent
    while entry is not None and not isinstance(entry, nodes.entry):
        entry = entry.parent
    if entry is None or entry.parent.index(entry):
        return ""
    section = entry
    while not isinstance(section, nodes.section):
        section = section.parent
    for (where, heading), folder in LISTS.items():
        if where == page and (not heading or heading in section["ids"]):
            return f"{folder}/{literal.astext()}"
    return ""


def _navigate(
    app: Sphinx, page: str, _template: str, context: dict[str, Any], _doctree: nodes.document | None
) -> None:
    """Put a list of sections in the place of the tree of all pages, which has a thousand."""
    sections = source_tree.navigation(app.env.all_docs)
    own = next((to for to, folder in source_tree.BELOW.items() if page.startswith(folder)), page)

    def toctree(**_options: object) -> str:
        return "".join(_section(each, page, own, app) for each in sections if each["pages"])

    context["toctree"] = toctree


def _section(section: dict[str, Any], page: str, own: str, app: Sphinx) -> str:
    """Return a section as the theme expects a tree: the page that is open is marked."""
    items = []
    for each in section["pages"]:
        mark = " current" if each == own else ""
        current = ' aria-current="page"' if each == page else ""
        address = app.builder.get_relative_uri(page, each)
        title = escape(source_tree.titles().get(each) or app.env.titles[each].astext())
        items.append(
            f'<li class="toctree-l1{mark}"><a class="reference internal{mark}" '
            f'href="{escape(address)}"{current}>{title}</a></li>'
        )
    title = f'<span class="caption-text">{escape(section["title"])}</span>'
    return f'<p class="caption">{title}</p><ul>{"".join(items)}</ul>'
