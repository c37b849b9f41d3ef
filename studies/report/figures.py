"""One picture inside the page, so that it needs no further file."""

from __future__ import annotations

import base64
import struct

from glueline.studies.report.markup import Markup, element

PNG_SIZE = slice(16, 24)  # width and height in the header of every PNG (ISO/IEC 15948, 11.2.2)
WIDE = 1.5  # width over height


def figure(
    content: bytes, caption: str, words: str, size: tuple[int, int] | None = None, class_: str = ""
) -> Markup:
    """A PNG, or a JPEG of a ``size``; ``words`` are for those who do not see it.

    A wide one may be moved sideways on a narrow screen rather than become too small; one with a class of its
    own is fitted.
    """
    width, height = struct.unpack(">II", content[PNG_SIZE]) if size is None else size
    inside = base64.b64encode(content).decode("ascii")
    kind = "png" if size is None else "jpeg"
    image = element(
        "img", src=f"data:image/{kind};base64,{inside}", alt=words, width=str(width), height=str(height)
    )
    named = element("figcaption", caption)
    if class_:
        return element("figure", image, named, class_=class_)
    frame = element("div", image, class_="wide") if width > WIDE * height else image
    return element("figure", frame, named)
