"""How many screwed butt corners are followed past their glue, in one go and with the face cracked before.

By hand, since it takes half a minute: ``python -m tests.fem.screwed_corners``.
"""

from __future__ import annotations

from itertools import product

from glueline.fem.path import PathFailure
from glueline.fem.path_control import NEAR_END, PathControl
from tests.fem.test_screwed_corner import ScrewedCorner

FARTHEST = 30.0


def outcome(corner: ScrewedCorner, cracked: bool) -> tuple[str, float, float, int]:
    """How a path ended, its last load (N) and displacement (mm), and its matrices."""
    control = PathControl(stop=0.0, stop_first=0.0, farthest=FARTHEST)
    word = "given up"
    try:
        path = corner.follow(cracked, control)
        word = "to the end" if path.displacement[-1] >= (1.0 - NEAR_END) * FARTHEST else "no load left"
    except PathFailure as failure:
        if failure.result is None:
            return word, 0.0, 0.0, 0
        path = failure.result
    return word, float(path.load[-1]), float(path.displacement[-1]), path.factorisations


def main() -> None:
    """A line a corner, then how many ended how."""
    counts: dict[tuple[bool, str], int] = {}
    for closes, outside, screws, hinged in product((1.0, -1.0), (6.0, 9.5, 13.0), (1, 3), (True, False)):
        corner = ScrewedCorner(closes, screws, outside, hinged)
        for cracked in (False, True):
            word, load, moved, matrices = outcome(corner, cracked)
            counts[cracked, word] = counts.get((cracked, word), 0) + 1
            place = f"closes {closes:+.0f}, {screws} at {outside:4.1f} mm"
            made = f"{'yields' if hinged else 'elastic':7}, {'cracked' if cracked else 'glued':7}"
            print(f"{place}, {made}: {word}, {load:.0f} N at {moved:.1f} mm, {matrices}", flush=True)
    for (cracked, word), count in sorted(counts.items()):
        print(f"{'cracked before' if cracked else 'in one go'}: {count} {word}")


if __name__ == "__main__":
    main()
