"""A result of arrays in a file: netCDF-4, which names its axes and units and is read by any tool for it.

The libraries for it are loaded when the first such file is written or read, not before: they take longer than
all of the command line's help.
"""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from slowflight.study.record_file import FORMAT, check_head, checksum

Array = NDArray[Any]


@dataclass(frozen=True, kw_only=True)
class Column:
    """How one array stands in the file.

    Parameters
    ----------
    axes : tuple of str
        Names of its dimensions.
    unit : str
        ``"1"`` for a number without one.
    meaning : str
        In words.
    """

    axes: tuple[str, ...]
    unit: str
    meaning: str


def encode_arrays(
    *,
    key: str,
    title: str,
    description: Mapping[str, Any],
    numbers: Mapping[str, Any],
    arrays: Mapping[str, Array],
    columns: Mapping[str, Column],
) -> bytes:
    """Return the content of a netCDF-4 file.

    Parameters
    ----------
    key : str
        Of the case.
    title : str
        What the file holds, in words.
    description : mapping
        All that the result depends on, as plain data.
    numbers : mapping
        Results without an axis, as plain data.
    arrays : mapping of ndarray
        Shapes as ``columns`` says; truth values are kept as 0 and 1.
    columns : mapping of Column

    Returns
    -------
    bytes
    """
    import h5netcdf

    stream = io.BytesIO()
    with h5netcdf.File(stream, "w") as file:
        file.attrs["title"] = title
        file.attrs["format"] = np.int32(FORMAT)
        file.attrs["key"] = key
        file.attrs["input"] = json.dumps(description, allow_nan=False)
        file.attrs["numbers"] = json.dumps(numbers, allow_nan=False)
        file.attrs["checksum"] = _checksum(numbers, arrays)
        for name, array in arrays.items():
            column = columns[name]
            for axis, length in zip(column.axes, array.shape, strict=True):
                if axis not in file.dimensions:
                    file.dimensions[axis] = length
            kept = array.astype(np.int8) if array.dtype == bool else array
            packed = {"compression": "gzip", "compression_opts": 4, "shuffle": True, "fletcher32": True}
            variable = file.create_variable(name, column.axes, data=kept, **packed)
            variable.attrs["units"] = column.unit
            variable.attrs["long_name"] = column.meaning
            if array.dtype == bool:
                variable.attrs["flag_values"] = np.array([0, 1], dtype=np.int8)
                variable.attrs["flag_meanings"] = "no yes"
    return stream.getvalue()


def decode_arrays(content: bytes, *, key: str) -> tuple[dict[str, Any], dict[str, Array]]:
    """Return numbers and arrays from a file's content.

    Parameters
    ----------
    content : bytes
    key : str
        Of the case that is wanted.

    Returns
    -------
    numbers : dict
    arrays : dict of ndarray

    Raises
    ------
    ValueError
        Where the file is damaged, another case's, or written in a newer format.
    """
    # One floor below netCDF, because that library leaves a half-opened file behind where one is damaged.
    import h5py

    try:
        with h5py.File(h5py.h5f.open_file_image(content), "r") as file:
            found = dict(file.attrs)
            layout = np.asarray(found["format"]).item()
            arrays = {name: _array(item) for name, item in file.items() if "units" in item.attrs}
            numbers = json.loads(str(found["numbers"]))
    except Exception as error:  # whatever the library says of bytes that make no sense
        raise ValueError("a damaged file") from error
    check_head(found_format=layout, found_key=found.get("key"), key=key)
    if found.get("checksum") != _checksum(numbers, arrays):
        raise ValueError("a damaged file")
    return numbers, arrays


def _array(variable: Any) -> Array:
    array: Array = np.asarray(variable[...])
    return array.astype(bool) if "flag_values" in variable.attrs else array


def _checksum(numbers: Mapping[str, Any], arrays: Mapping[str, Array]) -> str:
    digest = hashlib.sha256(checksum(numbers).encode())
    for name in sorted(arrays):
        array = np.ascontiguousarray(arrays[name])
        digest.update(f"{name}{array.shape}{array.dtype.str}".encode() + array.tobytes())
    return digest.hexdigest()[:24]
