"""Thousands of small cases in a few tests: pytest needs longer to list, pass on and report a test
than such a case takes."""

import inspect
from collections.abc import Callable, Iterable
from functools import wraps
from typing import Any

import pytest

Named = Callable[[Any], str]


def every(names: str, cases: Iterable[Any], ids: Named = str) -> Callable[..., Any]:
    """`pytest.mark.parametrize` within one test: each case is tried, also after one has failed, and
    the failure names all that failed. Not for tests that write into a fixture: cases share it."""
    keys = names.replace(",", " ").split()
    listed = [one if len(keys) > 1 else (one,) for one in cases]
    assert listed, f"no cases for {names}"

    def called(one: tuple[Any, ...]) -> str:
        return "-".join(map(ids, one))

    def decorate(test: Callable[..., None]) -> Callable[..., None]:
        @wraps(test)
        def all_of_them(**fixtures: Any) -> None:
            failed: list[tuple[str, BaseException]] = []
            for one in listed:
                try:
                    test(**dict(zip(keys, one, strict=True)), **fixtures)
                except (Exception, pytest.fail.Exception) as error:
                    failed.append((called(one), error))
            if failed:
                told = "\n".join(f"{name}: {error}" for name, error in failed)
                raise AssertionError(
                    f"{len(failed)} of {len(listed)} cases failed:\n{told}"
                ) from failed[0][1]

        signature = inspect.signature(test)
        left = [one for key, one in signature.parameters.items() if key not in keys]
        del all_of_them.__wrapped__  # type: ignore[attr-defined]
        all_of_them.__signature__ = signature.replace(parameters=left)  # type: ignore[attr-defined]
        return all_of_them

    return decorate
