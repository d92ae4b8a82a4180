"""Room functions that run as plain Python and, unchanged, inside the compiled batch.

A compiled batch on disk does not notice when a function it calls in another file changes, so the
cache folder is named by a digest of every source file that can end up inside one.
"""

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar, cast

import numba
import numba.core.config
import platformdirs
from numba.extending import register_jitable

_ROOMS = ("bench", "materials", "radiator", "circuit", "fans", "airflow", "pack")
_FILES = (*(f"{room}/*.py" for room in _ROOMS), "control/plan.py")

Function = TypeVar("Function", bound=Callable[..., object])


def compilable(function: Function) -> Function:
    """Mark a plain function of plain numbers so that a compiled batch may call it too."""
    marked: Function = register_jitable(function)
    return marked


def inlined(function: Function) -> Function:
    """Mark a short function of a hot loop: taken in where it is called, so that no numbers are handed over."""
    marked: Function = register_jitable(forceinline=True)(function)
    return marked


def batch(function: Function) -> Function:
    """Compile a loop over many points, without the interpreter lock, kept on disk between runs."""
    return cast(Function, numba.njit(cache=True, nogil=True, error_model="numpy")(function))


def _sources_digest() -> str:
    package = Path(__file__).resolve().parent.parent
    digest = hashlib.sha256(numba.__version__.encode())
    for files in _FILES:
        for path in sorted(package.glob(files)):
            digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def cache_folder() -> Path:
    """Return the folder that holds the compiled batches of exactly these sources."""
    return Path(platformdirs.user_cache_dir("shroudwright")) / f"compiled-{_sources_digest()}"


setattr(numba.core.config, "CACHE_DIR", str(cache_folder()))  # noqa: B010
