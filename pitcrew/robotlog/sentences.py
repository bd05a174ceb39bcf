"""What a robot's log says, in lines for people."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pitcrew.base.units import counted, show


def log_lines(answer: Mapping[str, Any]) -> Iterator[str]:
    """The answer of an import in sentences; what could not be read comes last and is never left
    out."""
    tied = f"battery {answer['battery']}" + (
        f", match {answer['match']}" if answer["match"] else ""
    )
    if answer.get("corrected"):
        yield (
            f"This log was in the logbook ({tied}); it now stands corrected. Columns:"
            f" {_columns(answer)}."
        )
    elif answer["known"]:
        yield f"This log is in the logbook already ({tied}). Nothing was added."
    else:
        yield f"Stored for {tied}. Columns: {_columns(answer)}."
    yield from (
        f"{show(answer['duration'], 's')} in {counted(answer['rows'], 'row')}.",
        sag_sentence(answer),
    )
    if answer["charge"] is not None:
        yield (
            f"{show(answer['charge'], 'A*h')} drawn, {show(answer['mean_current'], 'A')} on"
            f" average, at most {show(answer['peak_current'], 'A')},"
            f" {show(answer['sustained_current'], 'A')} over one second."
        )
    yield line_sentence(answer)
    if answer["overruns"] is not None:
        yield f"{counted(answer['overruns'], 'late loop')}."
    yield from answer["remarks"]
    yield from (f"Doubt: {doubt}" for doubt in answer["doubts"])
    if answer["doubts"]:
        yield "Until that is settled no forecast is made from this log."
    yield from unread_lines(answer)


def _columns(answer: Mapping[str, Any]) -> str:
    return ", ".join(f"{role} = {name}" for role, name in answer["columns"].items())


def bad_row_lines(bad: Sequence[Mapping[str, Any]], bad_rows: int) -> Iterator[str]:
    """Where the bad rows stand and why, rows below one another together; how many are not shown."""
    shown = 0
    for row in bad:
        line, last = (
            row["line"],
            row.get("last", row["line"]),
        )  # kept before stretches were, a row stands alone
        shown += last - line + 1
        yield f"{f'line {line}' if last == line else f'lines {line} to {last}'}: {row['why']}"
    more = bad_rows - shown
    if more > 0 and bad:
        yield f"and {more} more"


def sag_sentence(answer: Mapping[str, Any]) -> str:
    """The lowest voltage and how long it was low."""
    levels = sorted(answer["seconds_below"].items(), key=lambda pair: -float(pair[0]))
    below = ", ".join(
        f"{show(seconds, 's')} under {level} V" for level, seconds in levels if seconds
    )
    episodes = answer["brownouts"]
    ended = counted(episodes, "brown-out") if episodes else "no brown-out"
    return (
        f"Lowest {show(answer['lowest_voltage'], 'V')} after {show(answer['lowest_at'], 's')};"
        f" {below or 'never under 12 V'}; {ended}."
    )


def line_sentence(answer: Mapping[str, Any]) -> str:
    """The resistance of battery and wiring with its interval, or why there is none."""
    line = answer["resistance"]
    if answer["charge"] is None:
        return (
            "No charge and no resistance: no column is known as the whole current. If it has one,"
            " read this file again with --columns current=HEADING; that corrects it."
        )
    if line is None:
        return (
            "No resistance: the current hardly changed, the voltage does not fall with it, or too"
            " few rows are there."
        )
    low, high = show(line["low"], "mohm", 4), show(line["high"], "mohm", 4)
    rest = (
        f", {show(answer['open_circuit'], 'V')} open-circuit"
        if answer["open_circuit"] is not None
        else ""
    )
    return (
        f"Battery and wiring: {show(line['value'], 'mohm')} ({low} to {high}){rest}. An upper bound"
        f" for the battery alone. The interval of 95 % covers {line['covers']}."
    )


def unread_lines(answer: Mapping[str, Any]) -> Iterator[str]:
    """The rows that could not be read, gaps, and headings that came again."""
    if answer.get("headers_again"):
        yield (
            f"The headings came again {counted(answer['headers_again'], 'time')} and were passed"
            " over."
        )
    if answer.get("out_of_order"):
        yield (
            f"Rows stood out of order at {counted(answer['out_of_order'], 'place')}; they were put"
            " in order by their clock."
        )
    if answer.get("gaps", {}).get("count"):
        yield (
            f"{counted(answer['gaps']['count'], 'gap')}, {show(answer['gaps']['seconds'], 's')} in"
            " all: nothing was recorded there."
        )
    if answer["bad_rows"]:
        yield f"{counted(answer['bad_rows'], 'bad row')} left out."
    yield from (f"  {line}" for line in bad_row_lines(answer.get("bad", ()), answer["bad_rows"]))
