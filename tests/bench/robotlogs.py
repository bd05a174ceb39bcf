"""A log of a million rows and 20 columns: import against numpy.loadtxt and pandas.read_csv on the
same file, and peak memory.

Targets: at most 0.2 of loadtxt, at most 2 of pandas, at most 200 MB in a process of its own.
"""

import multiprocessing
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROWS, COLUMNS, TURNS = 1_000_000, 20, 3


def write_log(path: Path) -> None:
    """The file: time, volts, amps and 17 channels."""
    import numpy as np

    rng = np.random.default_rng(3)
    names = [
        "time (s)",
        "battery volts",
        "total amps",
        *(f"channel {at} (A)" for at in range(COLUMNS - 3)),
    ]
    with path.open("w") as file:
        file.write(",".join(names) + "\n")
        for begin in range(0, ROWS, 100_000):
            amps = rng.gamma(2, 20, 100_000)
            table = np.column_stack(
                [
                    (begin + np.arange(100_000)) * 0.02,
                    12.6 - 0.02 * amps,
                    amps,
                    rng.gamma(2, 2, (100_000, COLUMNS - 3)),
                ]
            )
            np.savetxt(file, table, fmt="%.3f", delimiter=",")


def ours(path: str) -> int:
    """Read the file and compute all that is stored of it; the rows."""
    from pitcrew.robotlog.reading import look_at, read_log
    from pitcrew.robotlog.results import measured

    with Path(path).open("rb") as file:
        body, _ = measured(read_log(*look_at(iter(lambda: file.read(1 << 20), b""))), 6.8)
    return int(body["rows"])


def loadtxt(path: str) -> int:
    """numpy's own reader, all columns."""
    import numpy as np

    return len(np.loadtxt(path, delimiter=",", skiprows=1))


def pandas(path: str) -> int:
    """pandas' reader, all columns."""
    import pandas

    return len(pandas.read_csv(path))


def _in_process(
    work: Callable[[str], int], path: str, answer: "multiprocessing.Queue[tuple[int, float, float]]"
) -> None:
    begin = time.process_time()
    rows = work(path)
    scale = 1 if sys.platform == "darwin" else 1024
    answer.put(
        (
            rows,
            time.process_time() - begin,
            resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * scale / 1e6,
        )
    )


def timed(work: Callable[[str], int], path: str) -> tuple[float, float]:
    """CPU seconds and peak MB of `work` in a fresh process, imports of its own libraries
    counted."""
    context = multiprocessing.get_context("spawn")
    answer = context.Queue()
    process = context.Process(target=_in_process, args=(work, path, answer))
    process.start()
    rows, seconds, peak = answer.get()
    process.join()
    assert rows == ROWS
    return seconds, peak


def main() -> None:
    """Print the ratios of the best times of TURNS turns, in each of which all readers come once."""
    import importlib.util

    readers: list[Callable[[str], int]] = [ours, loadtxt]
    readers += [pandas] if importlib.util.find_spec("pandas") else []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        write_log(path)
        turns = [[timed(reader, str(path)) for reader in readers] for _ in range(TURNS)]
        best = [min(seconds for seconds, _ in column) for column in zip(*turns, strict=True)]
        peak = max(turn[0][1] for turn in turns)
        print(
            f"robot log, {ROWS} rows x {COLUMNS} columns, {path.stat().st_size / 1e6:.0f} MB:"
            f" {best[0]:.2f} s of CPU, peak {peak:.0f} MB"
        )
        print(f"  to numpy.loadtxt: {best[0] / best[1]:.2f}  (target 0.2)")
        print(
            f"  to pandas.read_csv: {best[0] / best[2]:.2f}  (target 2)"
            if len(best) > 2
            else "  pandas is not installed"
        )


if __name__ == "__main__":
    main()
