"""What a robot's log says, in lines for people."""

from collections.abc import Iterator, Mapping
from typing import Any

from pitcrew.units import show


def log_lines(answer: Mapping[str, Any]) -> Iterator[str]:
    """The answer of an import in sentences; what could not be read comes last and is never left out."""
    tied = f"battery {answer['battery']}" + (f", match {answer['match']}" if answer["match"] else "")
    if answer["known"]:
        yield f"This log is in the logbook already ({tied}). Nothing was added."
    else:
        yield f"Stored for {tied}. Columns: " + ", ".join(f"{role} = {name}" for role, name in answer["columns"].items()) + "."
    yield from (f"{show(answer['duration'], 's')} in {answer['rows']} rows.", sag_sentence(answer))
    if answer["charge"] is not None:
        yield (
            f"{show(answer['charge'], 'A*h')} drawn, {show(answer['mean_current'], 'A')} on average, at most "
            f"{show(answer['peak_current'], 'A')}, {show(answer['sustained_current'], 'A')} over one second."
        )
    yield line_sentence(answer)
    if answer["overruns"] is not None:
        yield f"{answer['overruns']} late loops."
    yield from answer["remarks"]
    yield from unread_lines(answer)


def sag_sentence(answer: Mapping[str, Any]) -> str:
    """The lowest voltage and how long it was low."""
    levels = sorted(answer["seconds_below"].items(), key=lambda pair: -float(pair[0]))
    below = ", ".join(f"{seconds:.3g} s under {level} V" for level, seconds in levels if seconds)
    episodes = answer["brownouts"]
    ended = "no brown-out" if not episodes else f"{episodes} brown-out{'s' if episodes > 1 else ''}"
    return f"Lowest {show(answer['lowest_voltage'], 'V')} after {show(answer['lowest_at'], 's')}; {below or 'never under 12 V'}; {ended}."


def line_sentence(answer: Mapping[str, Any]) -> str:
    """The resistance of battery and wiring with its interval, or why there is none."""
    line = answer["resistance"]
    if line is None:
        return "No resistance: the log has no current, or it hardly changed."
    low, high = show(line["low"], "mohm"), show(line["high"], "mohm")
    rest = f", {show(answer['open_circuit'], 'V')} open-circuit" if answer["open_circuit"] is not None else ""
    return f"Battery and wiring: {show(line['value'], 'mohm')} ({low} to {high}){rest}. An upper bound for the battery alone."


def unread_lines(answer: Mapping[str, Any]) -> Iterator[str]:
    """The rows that could not be read, gaps, and headings that came again."""
    if answer.get("headers_again"):
        yield f"The headings stand in the file {answer['headers_again']} times more; passed over."
    if answer.get("gaps", {}).get("count"):
        yield f"{answer['gaps']['count']} gaps, {show(answer['gaps']['seconds'], 's')} in all: nothing was recorded there."
    if answer["bad_rows"]:
        yield f"{answer['bad_rows']} bad rows were left out."
    for row in answer.get("bad", ()):
        yield f"  line {row['line']}: {row['why']}"
    if answer["bad_rows"] > len(answer.get("bad", ())) > 0:
        yield f"  and {answer['bad_rows'] - len(answer['bad'])} more"
