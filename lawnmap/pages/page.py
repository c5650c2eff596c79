"""The package's own files, and the filling of a page's fixed slots with markup."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from string import Template

from lawnmap.pages.escape import Html
from lawnmap.pages.policy import sealed

LANGUAGE = "<!--language-->"
TOP = "<!--top-->\n"  # in a template: what every page begins with


@cache
def asset(name: str) -> str:
    """Return the text of one of the package's page files, newlines as LF."""
    data = files("lawnmap.pages").joinpath(name).read_bytes().decode("utf-8")
    return data.replace("\r\n", "\n").replace("\r", "\n")


def style(*sheets: str) -> Html:
    """Return a style element of our own CSS text."""
    return Html("<style>\n" + "\n".join(sheets) + "\n</style>")


def script(*texts: str) -> Html:
    """Return a script element of our own JavaScript text."""
    return Html("<script>\n" + "\n".join(texts) + "\n</script>")


def comment(text: str) -> Html:
    """Return a comment of our own text.

    Raises
    ------
    ValueError
        When the text would end the comment.
    """
    if "--" in text or text.startswith(">"):
        raise ValueError("the text would end the comment it stands in")
    return Html(f"<!--\n{text}\n-->")


def filled(
    name: str, slots: dict[str, Html], *, images_from: str = "", language: str = "en"
) -> Html:
    """Return a template of the package with every slot filled, sealed by its policy.

    Parameters
    ----------
    name : str
        Template in this folder, with slots written ``$name``.
    slots : dict of str to Html
        One for each slot. What is put in is not looked at again for slots.
    images_from : str
        The one host that the page may ask for pictures; empty for a page that asks nobody.
    language : str
        Of its words, as BCP 47 names it, so that a screen reader says them rightly.

    Raises
    ------
    TypeError
        When a slot holds text that nobody has escaped.
    ValueError
        When slots and template do not match.
    """
    top = asset("top.html").replace(LANGUAGE, language)
    template = Template(asset(name).replace(TOP, top))
    wanted = set(template.get_identifiers())
    if wanted != set(slots):
        raise ValueError(f"{name}: slots {sorted(wanted ^ set(slots))} do not match")
    for slot, value in slots.items():
        if not isinstance(value, Html):
            raise TypeError(f"{name}: the slot {slot!r} was not escaped")
    return sealed(Html(template.substitute(slots)), images_from=images_from)
