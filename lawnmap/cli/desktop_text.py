"""What ``lawnmap desktop`` says."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from lawnmap.errors import printable

if TYPE_CHECKING:
    from lawnmap.jobs.desktop.look import State
    from lawnmap.jobs.desktop.put import Done

AGAIN = "Start the GIS again."


def done(done: Done) -> str:
    """Return what was done in a profile."""
    where = printable(f"{done.profile.gis}, profile {done.profile.name}: {done.profile.path}")
    if done.now:
        instead = f" in the place of {done.before}" if done.before not in {"", done.now} else ""
        switch = "on" if done.enabled else "off: switch it on in the GIS, under Plugins"
        return f"Installed {done.now}{instead} in {where}\nIt is switched {switch}. {AGAIN}"
    if done.before:
        return f"Removed {done.before} from {where}\n{AGAIN}"
    return f"Nothing of lawnmap was in {where}"


def notes(done: Done) -> list[str]:
    """Return what a person should know of what was done."""
    told = []
    if done.kept:
        names = ", ".join(done.kept)
        told.append(f"What somebody changed or added was kept in {done.profile.folder}: {names}")
    if done.now and done.profile.boxed:
        told.append(
            "This profile belongs to a boxed GIS (Flatpak), which cannot start lawnmap: the steps "
            "will not run in it."
        )
    return told


def states(states: Sequence[State]) -> str:
    """Return how the plugin stands in each profile."""
    if not states:
        from lawnmap.jobs.desktop.profiles import START, looked_in

        return f"No profile of the GIS was found in {' or '.join(looked_in())}.\n{START}"
    return "\n".join(printable_lines(_lines(each)) for each in states)


def printable_lines(lines: Iterator[str]) -> str:
    """Return lines of which none can move the cursor."""
    return "\n".join(printable(each) for each in lines)


def _lines(state: State) -> Iterator[str]:
    profile = state.profile
    yield f"{profile.gis}, profile {profile.name}: {profile.path}"
    if profile.boxed:
        yield "  belongs to a boxed GIS (Flatpak), which cannot start lawnmap"
    if state.installed:
        as_here = "as here" if state.current else f"not as this lawnmap, {state.here}, has it"
        yield f"  installed: {state.installed}, {as_here}"
        yield f"  switched on: {'yes' if state.enabled else 'no'}"
        if state.command:
            answer = f"answers: lawnmap {state.answers}" if state.answers else "does not answer"
            yield f"  starts: {state.command}, which {answer}"
    elif not state.problem:
        yield "  installed: no"
        if state.enabled:
            yield "  switched on all the same: lawnmap desktop remove takes the line away"
    for what, names in vars(state.files).items():
        if names:
            yield f"  {what} since: {', '.join(names)}"
    if state.problem:
        yield f"  not in order: {state.problem}"
    if state.installed and (state.problem or not state.current):
        yield "  To put it right: lawnmap desktop install"
