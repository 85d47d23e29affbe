"""One scalar source for fast loops: compiled where numba is there, plain Python where it is not."""

import os
from collections.abc import Callable
from typing import Any, TypeVar

Function = TypeVar("Function", bound=Callable[..., Any])

try:
    if os.environ.get("NUMBA_DISABLE_JIT", "0") not in ("", "0"):
        raise ImportError
    import numba

    COMPILED = True
    prange = numba.prange
except ImportError:
    COMPILED = False
    prange = range


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
