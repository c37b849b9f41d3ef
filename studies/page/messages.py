"""Messages with arrays, as the page and its server exchange them: a header in JSON, then the numbers.

A message is the length of the header as uint32, the header in UTF-8 padded with spaces so that what follows
is aligned, then every array in the order in which the header names them; all little endian, four bytes an
entry.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

KINDS = {"f4": np.dtype("<f4"), "u4": np.dtype("<u4")}


def packed(header: Mapping[str, Any], arrays: Mapping[str, NDArray[Any]]) -> bytes:
    """One message. Whole numbers go as ``u4``, all others as ``f4``.

    Raises ValueError for numbers that are not finite: a picture cannot show them.

    >>> header, arrays = unpacked(packed({"answer": "scene"}, {"ring": np.array([1.5, 2.0])}))
    >>> header["answer"], arrays["ring"].tolist()
    ('scene', [1.5, 2.0])
    """
    named = {name: _four_bytes(name, array) for name, array in arrays.items()}
    listed = [{"name": name, "type": kind, "shape": [*array.shape]} for name, (kind, array) in named.items()]
    text = msgspec.json.encode({**header, "arrays": listed})
    text += b" " * (-len(text) % 4)
    body = b"".join(array.tobytes() for _, array in named.values())
    return len(text).to_bytes(4, "little") + text + body


def unpacked(message: bytes) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    """Header and arrays of a message. Raises ValueError where it is cut off."""
    size = int.from_bytes(message[:4], "little")
    header: dict[str, Any] = msgspec.json.decode(message[4 : 4 + size])
    arrays, start = {}, 4 + size
    for each in header.pop("arrays"):
        count = int(np.prod(each["shape"], dtype=np.int64))
        if start + 4 * count > len(message):
            raise ValueError(f"the message ends within {each['name']}")
        array = np.frombuffer(message, KINDS[each["type"]], count, start)
        arrays[each["name"]] = array.reshape(each["shape"])
        start += 4 * count
    return header, arrays


def _four_bytes(name: str, array: NDArray[Any]) -> tuple[str, NDArray[Any]]:
    kind = "u4" if np.issubdtype(array.dtype, np.integer) else "f4"
    if not np.isfinite(array).all():
        raise ValueError(f"{name} has numbers that are not finite")
    return kind, np.ascontiguousarray(array, KINDS[kind])
