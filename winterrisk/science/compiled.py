"""One scalar source for fast loops: compiled where numba is there, plain Python where it is not."""

from collections.abc import Callable
from os import environ
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.read_cache_folder import cache_folder

Function = TypeVar("Function", bound=Callable[..., Any])

try:
    if environ.get("NUMBA_DISABLE_JIT", "0") not in ("", "0"):
        raise ImportError
    import numba
    from numba.core.options import DefaultOptions

    COMPILED = True
    UNCOUNTED: dict[str, Any] = {"_nrt": False} if hasattr(DefaultOptions, "_nrt") else {}
    _settings: Any = numba.config
    CORES = int(_settings.NUMBA_NUM_THREADS)
    if not _settings.CACHE_DIR:
        _settings.CACHE_DIR = str(cache_folder() or "")
except ImportError:
    COMPILED = False
    UNCOUNTED = {}
    CORES = 1


def njit(function: Function | None = None, **options: Any) -> Any:
    """The function compiled by numba (strict floating point), or itself where numba is missing.

    The compiled code is kept on disk where a folder is writable, else compiled anew in each process.
    """
    if function is None:
        return lambda f: njit(f, **options)
    if not COMPILED:
        return function
    try:
        return numba.njit(function, cache=True, **options)
    except RuntimeError:
        return numba.njit(function, **options)


def njit_unasked(function: Function | None = None, *, allocates: bool = False, **options: Any) -> Any:
    """As `njit`, but a division by zero gives no number instead of an error, and arrays are not counted.

    The test before each division costs two fifths of the column's speed. Whoever uses this lets in no zero to divide
    by, for a clamp may hide what comes of it, and ends with `checked_numbers`. To count, atomically, who holds each
    view of an array costs a quarter more; the caller holds them all. One function is compiled in one way only: the
    code kept on disk does not tell them apart.

    Args:
        allocates: it makes arrays of its own, so they are counted.
    """
    if function is None:
        return lambda f: njit_unasked(f, allocates=allocates, **options)
    return njit(function, error_model="numpy", **({} if allocates else UNCOUNTED), **options)


def checked_numbers(values: NDArray[Any], what: str) -> None:
    """Raises FloatingPointError where a compiled loop left anything that is no number: a fault of the package."""
    if not np.isfinite(values).all():
        raise FloatingPointError(f"{what}: worked to something that is no number")
