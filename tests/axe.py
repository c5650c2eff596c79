"""Ask axe-core what is wrong with an open page, contrast of 7:1 included."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.base import AXE_SCRIPT

# Whole results of what was passed, thousands of elements, are not asked for: only how many rules.
# Contrast of WCAG's level AAA (1.4.6), which sunlight on a phone asks for, is off by default.
OPTIONS = {
    "rules": {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}},
    "resultTypes": ["violations"],
}
RUN = """options => axe.run(document, options).then(
  ({ passes, violations }) => ({ passes: passes.length, violations }))"""
GRAVE = {"serious", "critical"}


def problems(page: Any) -> list[str]:
    """Return the serious problems of a page: rule, what is wrong, and where."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    # A panel still fading in is judged by its half-faded colours: a busy machine is slow enough.
    page.evaluate("document.getAnimations().forEach(each => each.finish())")
    found = page.evaluate(RUN, OPTIONS)
    assert found["passes"], "axe looked at nothing"
    return [
        f"{each['id']}: {each['help']}: {node['html'][:150]} {node['failureSummary'][:200]}"
        for each in found["violations"]
        if each["impact"] in GRAVE
        for node in each["nodes"]
    ]
