"""One scalar source for fast loops: compiled where numba is there, plain Python where it is not."""

from collections.abc import Callable
from os import environ
from typing import Any, TypeVar

from winterrisk.science.read_cache_folder import cache_folder

Function = TypeVar("Function", bound=Callable[..., Any])

try:
    if environ.get("NUMBA_DISABLE_JIT", "0") not in ("", "0"):
        raise ImportError
    import numba

    COMPILED = True
    _settings: Any = numba.config
    CORES = int(_settings.NUMBA_NUM_THREADS)
    if not _settings.CACHE_DIR:
        _settings.CACHE_DIR = str(cache_folder() or "")
except ImportError:
    COMPILED = False
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
