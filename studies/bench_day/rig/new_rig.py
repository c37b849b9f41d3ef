"""A rig file to begin with: a platform on a hinge, with a sketch of which distance is which."""

from __future__ import annotations

from collections.abc import Mapping

from glueline.studies.bench_day.rig.rig import KINDS
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.files.units import Units
from glueline.studies.files.words import one_of

SIZES: Mapping[Units, Mapping[str, str]] = {
    "metric": {
        "specimen_at": "300 mm",
        "weights_at": "900 mm",
        "centre_at": "480 mm",
        "own_weight": "5 kg",
        "specimen_weight": "0.8 kg",
        "position_error": "3 mm",
        "stacked": "10 kg",
        "scale": "38.6 kg",
    },
    "imperial": {
        "specimen_at": "12 in",
        "weights_at": "36 in",
        "centre_at": "19 in",
        "own_weight": "11 lb",
        "specimen_weight": "1 3/4 lb",
        "position_error": "1/8 in",
        "stacked": "20 lb",
        "scale": "78 lb",
    },
}
"""Invented: sizes of a rig as a community workshop might build it."""

LEVER, *OTHERS = KINDS

TEXT = """\
# A rig, as `glueline new rig` begins it: an invented one. Put your own sizes in place of these; what stands
# after a # is a note. What it does:  glueline rig FILE
#
# From the side; the platform level, every distance along it from the middle of the hinge's pin:
#
#                                                    [ weights ]
#   hinge                                            [ stacked ]
#     o=========================================================  platform
#     |                \\               x                  |
#     |      specimen   \\              its centre         |
#     |                 /              of gravity         |
#  ===+================/=======================================  bench
#     |                |               |                  |
#     |<- specimen_at->|               |                  |
#     |<---------- centre_at --------->|                  |
#     |<------------------- weights_at ------------------>|
#
# specimen_at  to the line on which the platform presses on the specimen
# centre_at    to where the platform alone, without hinge and weights, balances on a broomstick
# weights_at   to the middle of the stack of weights

[rig]
# or {others}: those have no lever, so leave out the distances
kind = "{kind}"
# how the joint is loaded: {arrangements}
arrangement = "{arrangement}"
{specimen_at}
{weights_at}
{centre_at}
{own_weight:<28}  # of the platform
{specimen_weight:<28}  # of one joint
{position_error:<28}  # how far any of the distances may be off

# Put a scale in the specimen's place, stack a known weight, and write down what it reads, once for each
# weight that you try: rig, plan and bench then go by the scale.
# [[check]]
# {stacked}
# {scale}
"""


def rig_file_text(units: Units) -> str:
    """The text of a rig file that reads as it stands, in ASCII.

    >>> 'weights_at = "36 in"' in rig_file_text("imperial")
    True
    """
    first, *_ = ARRANGEMENTS
    others, all_of_them = one_of(OTHERS), ", ".join(ARRANGEMENTS)
    sizes = {key: f'{key} = "{value}"' for key, value in SIZES[units].items()}
    return TEXT.format(kind=LEVER, others=others, arrangement=first, arrangements=all_of_them, **sizes)
