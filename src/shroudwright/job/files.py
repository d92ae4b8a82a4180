"""Job files on disk: read with every fault named, started, and edited without losing a comment.

read_job       a file -> Job
parse_job      its text -> Job
bytes_of       what is in a file, or why it cannot be read
write_starter  a commented file to fill in
write_whole    all of a file or nothing of it
edit_field     change one value, keep every comment and every number as typed
"""

import difflib
import hashlib
import os
import re
import tempfile
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from shroudwright.bench.errors import InputError
from shroudwright.job.checks import cross_faults
from shroudwright.job.model import Job
from shroudwright.job.quantity import TypedFloat, as_typed
from shroudwright.job.table import part_of

LARGEST = 5_000_000
_MOST_MENDS = 8
_PLAIN_SYNTAX = {
    r"Illegal character '\n'": "the closing quote is missing",
    "Cannot overwrite a value": "this field stands here twice",
    "Expected newline or end of document after a statement": "cannot be read",
    "Invalid value": "cannot be read",
}
_PLACEHOLDER = {"kind": "idle"}


def read_job(path: str | os.PathLike[str]) -> Job:
    """Read a job file.

    Parameters
    ----------
    path : path
        Of the file.

    Returns
    -------
    Job
        With the digest of the file's bytes and the file's name.

    Raises
    ------
    InputError
        With one plain line for every fault.
    """
    path = Path(path)
    return parse_job(bytes_of(path), path.name)


def bytes_of(path: Path, what: str = "job") -> bytes:
    """Return a file's bytes, or say plainly why it cannot hold what is looked for.

    Parameters
    ----------
    path : Path
        Of the file.
    what : str
        What it should hold, for faults.

    Returns
    -------
    bytes

    Raises
    ------
    InputError
        If there is no such file, or it is a folder, too large or not allowed.
    """
    try:
        fault = _no_file_in(path, what)
        data = b"" if fault else path.read_bytes()
    except (OSError, ValueError) as error:
        fault = _reason(error)
    if fault:
        raise InputError([f"{path}: {fault}"])
    return data


def _no_file_in(path: Path, what: str) -> str:
    """Say why a path cannot hold a job or a shelf, before a byte of it is read."""
    size = path.stat().st_size
    if path.is_dir():
        return f"is a folder; name the {what} file in it"
    if not path.is_file():
        return "not a file"
    return f"larger than {LARGEST // 1_000_000} MB, so not a {what} file" if size > LARGEST else ""


def _reason(error: Exception) -> str:
    match error:
        case FileNotFoundError():
            return "no such file"
        case PermissionError():
            return "not allowed"
        case OSError():
            return (error.strerror or "cannot be reached").lower()
        case _:
            return "not a file name"


def parse_job(data: bytes, file_name: str) -> Job:
    """Read a job from the bytes of its file.

    Parameters
    ----------
    data : bytes
        The whole file.
    file_name : str
        What to call it in faults.

    Returns
    -------
    Job
        With the digest of the bytes and the file's name.

    Raises
    ------
    InputError
        With one plain line for every fault.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError([f"{file_name}: not plain text (UTF-8), so not a job file"]) from None
    if not text.strip():
        raise InputError([f"{file_name}: empty; start one with the program's own starter file"])
    try:
        raw = tomllib.loads(text, parse_float=TypedFloat)
    except RecursionError:
        raise InputError([f"{file_name}: nested too deeply"]) from None
    except ValueError as error:
        raise InputError([f"{file_name}: {_syntax(error, text)}"]) from None
    job = _checked(raw)
    job._sha256 = hashlib.sha256(data).hexdigest()
    job._file_name = file_name
    return job


def _syntax(error: ValueError, text: str) -> str:
    """Say where the file cannot be read, with the line itself."""
    found = re.search(r"\(at (?:line (\d+), column \d+|end of document)\)", str(error))
    if not found:
        return "a number is too long"
    what = str(error)[: found.start()].strip()
    what = _PLAIN_SYNTAX.get(what, what)
    lines = text.splitlines()
    number = min(int(found[1]) if found[1] else len(lines), len(lines))
    line = lines[number - 1].strip()
    hint = "" if '"' in line or "=" not in line else '; put the value in quotes, like depth = "2 in"'
    return f"line {number}: {what} in {line[:60]!r}{hint}"


def _checked(raw: dict[str, Any]) -> Job:
    units = raw.get("units")
    context = {"bare_unit": units if units in ("in", "mm") else None}
    job: Job | None
    errors: list[Any] = []
    try:
        job = Job.model_validate(raw, context=context)
    except ValidationError as error:
        errors = error.errors(include_url=False)
        job = _readable_part(raw, context)
    faults = [line for error in errors for line in _lines(error, raw)]
    broken = {".".join(map(str, error["loc"])) for error in errors}
    faults += [
        f"{_shown(place, raw)}: {fault}"
        for place, fault in (cross_faults(job) if job else ())
        if not _within(place, broken)
    ]
    if faults or job is None:
        raise InputError(faults)
    return job


def _within(place: str, broken: set[str]) -> bool:
    """Whether a place is broken itself, in part, or with the section it lies in."""
    return any(f"{place}.".startswith(f"{other}.") or other.startswith(f"{place}.") for other in broken)


def _readable_part(raw: dict[str, Any], context: dict[str, Any]) -> Job | None:
    """Leave out what cannot be read, so that the rest is still checked as a whole."""
    kept: Any = _copy(raw)
    for _ in range(_MOST_MENDS):
        try:
            return Job.model_validate(kept, context=context)
        except ValidationError as error:
            # The last items go first, so that the places of the others still hold.
            for fault in reversed(error.errors(include_url=False)):
                _mend(kept, fault["loc"], fault["type"])
    return None


def _copy(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copy(item) for key, item in value.items()}
    return [_copy(item) for item in value] if isinstance(value, list) else value


def _mend(kept: Any, loc: tuple[int | str, ...], fault: str) -> None:
    *above, last = loc
    for step in above:
        inside = isinstance(kept, dict) and step in kept
        if not inside and not (isinstance(kept, list) and isinstance(step, int) and step < len(kept)):
            return
        kept = kept[step]
    if fault == "missing":
        kept[last] = _PLACEHOLDER.get(str(last), f"nameless {above[-1]}")
    elif isinstance(kept, list):
        kept[int(last)] = {} if fault == "model_type" else ""
    else:
        kept.pop(last, None)


def _held(raw: Any, loc: tuple[int | str, ...]) -> Any:
    for step in loc:
        if isinstance(raw, Mapping):
            raw = raw.get(str(step))
        elif isinstance(raw, list) and isinstance(step, int) and step < len(raw):
            raw = raw[step]
        else:
            return None
    return raw


def _shown(place: str, raw: Any) -> str:
    """Write a place for people: an item of a list gets its own name beside its number."""
    steps = place.split(".")
    if len(steps) > 1 and steps[1].isdigit():
        item = _held(raw, (steps[0], int(steps[1])))
        name = (item.get("code") or item.get("name")) if isinstance(item, Mapping) else None
        if isinstance(name, str) and name:
            return f"{place} ({name[:40]})"
    return place


def _part_at(loc: tuple[int | str, ...]) -> type[BaseModel]:
    """Return the section that holds a place."""
    part: type[BaseModel] = Job
    for step in loc[:-1]:
        inner = part_of(part.model_fields[step].annotation) if isinstance(step, str) else part
        part = inner or part
    return part


def _elsewhere(field: str) -> list[str]:
    """Return the places of a field in other sections."""
    parts = {section: part_of(info.annotation) for section, info in Job.model_fields.items()}
    return [f"{section}.{field}" for section, part in parts.items() if part and field in part.model_fields]


def _lines(error: Any, raw: Any) -> list[str]:
    """Turn one fault of the model into plain lines."""
    loc, kind, last = error["loc"], error["type"], str(error["loc"][-1]) if error["loc"] else ""
    place = _shown(".".join(map(str, loc)), raw)
    value = _held(raw, loc)
    typed = f"{as_typed(value)[:60]!r}" if isinstance(value, str | int | float) else "this"
    if kind == "value_error":
        return [f"{place}: {line}" for line in str(error["ctx"]["error"]).splitlines()]
    if kind == "extra_forbidden":
        known = list(_part_at(loc).model_fields)
        near = _elsewhere(last) or difflib.get_close_matches(last.lower(), known, n=1)
        says = "not a field of a job" + (f"; did you mean {near[0]}?" if near else "")
    elif kind == "model_type":
        header = f"[[{loc[0]}]]" if len(loc) > 1 else f"[{loc[0]}]"
        says = f"{typed} stands where a section is expected; write {header} and its fields below"
    elif kind == "too_long":
        says = f"{len(value)} entries; at most {error['ctx']['max_length']}"
    elif kind.startswith("date"):
        says = f"{typed} is not a day; type for example 2026-01-31"
    else:
        says = {
            "missing": f"missing; every one of {loc[0]} needs it",
            "tuple_type": f"{typed} stands where a list is expected",
            "string_type": f"{typed} is not text; put it in quotes",
            "string_too_short": "empty",
        }.get(kind, error["msg"])
    return [f"{place}: {says}"]


def write_starter(path: str | os.PathLike[str], units: str = "in") -> None:
    """Write a commented job file to fill in.

    Parameters
    ----------
    path : path
        Of the file; it must not exist yet. The job is called after it.
    units : str
        ``in`` or ``mm``.

    Raises
    ------
    InputError
        If the file exists already or cannot be written; nothing is left behind.
    """
    from shroudwright.job.template import starter

    path = Path(path)
    words = path.name.removesuffix(".toml").removesuffix(".job").replace("-", " ").replace("_", " ")
    text = starter(units, "".join(letter for letter in words if letter.isprintable()).strip() or "my car")
    if os.path.exists(path):
        raise InputError([f"{path}: exists already; choose another name"])
    write_whole(path, text.encode("utf-8"))


def write_whole(path: Path, data: bytes) -> None:
    """Write all of a file or nothing of it."""
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{path.name[:40]}.", dir=path.parent)
    except (OSError, ValueError) as error:
        reason = "no such folder" if isinstance(error, FileNotFoundError) else _reason(error)
        raise InputError([f"{path}: cannot be written, {reason}"]) from None
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, path.stat().st_mode & 0o777 if path.exists() else 0o644)
        os.replace(temporary, path)
    except OSError as error:
        raise InputError([f"{path}: cannot be written, {_reason(error)}"]) from None
    finally:
        Path(temporary).unlink(missing_ok=True)


def edit_field(path: str | os.PathLike[str], place: str, value: str | float | bool) -> Job:
    """Change one value in a job file, as `edits.changed` does.

    Parameters
    ----------
    path : path
        Of the file.
    place : str
        Such as ``core.width``, ``fans.0.rpm`` or ``name``.
    value : str, float or bool
        What to write, such as ``"24 in, measured"``.

    Returns
    -------
    Job
        As it now reads.

    Raises
    ------
    InputError
        If there is no such place or the job would no longer read; the file is then as it was.
    """
    from shroudwright.job.edits import changed

    path = Path(path)
    before = bytes_of(path)
    parse_job(before, path.name)
    after = changed(before, {place: value}, path.name)
    write_whole(path, after)
    return parse_job(after, path.name)
