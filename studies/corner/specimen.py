"""A corner to be broken: the joint, its boards, woods, glue and how it is loaded."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal, Self

from glueline.geometries import JOINTS, Boards, JointKind, Layout
from glueline.materials import Glue, SurfaceWorkmanship, Wood, Workmanship
from glueline.studies.corner.arrangements import LoadArrangement
from glueline.studies.corner.proportions import Proportion, proportions
from glueline.studies.files.units import Units


@dataclass(frozen=True)
class Specimen:
    """One corner, checked. Lengths in mm, moisture in percent.

    ``joint`` holds the parameters of ``JOINTS[kind]``, None for what it leaves to the boards; ``woods`` has
    the wood of each of its members by name, at the stated moisture. ``as_read`` is the specimen file with all
    changes, to be written out again; paths in it are absolute.

    ``workmanship`` is that of the corner; what a surface has of its own in ``surface_workmanship``, by its
    name, stands in place of it there.

    ``units`` are those in which its boards are measured: imperial where every length of them is, else metric.
    What is shown of it follows them unless other units are asked for.

    ``load_off_line`` in mm says how far the load misses its line, above zero toward the longer lever arm.

    >>> from glueline.studies.corner.specimen_file import read_specimen
    >>> from glueline.studies.examples import example_path
    >>> corner = read_specimen(example_path("butt"))
    >>> corner.kind, corner.boards.thickness, corner.woods["board B"].name, corner.glue.name  # mm
    ('butt', 19.0, 'Sugar (hard) maple', 'pva')
    >>> round(corner.moment_per_load, 1)  # N mm for each N
    85.9
    """

    path: str
    kind: str
    joint: Any
    boards: Boards
    woods: Mapping[str, Wood]
    sawn: Literal["flat", "quarter"]
    moisture: float
    glue: Glue
    workmanship: Workmanship
    arrangement: LoadArrangement
    load_off_line: float = 0.0
    surface_workmanship: Mapping[str, SurfaceWorkmanship] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    units: Units = field(default="metric", compare=False)
    as_read: Mapping[str, Any] = field(default_factory=dict, hash=False, compare=False)

    @property
    def joint_kind(self) -> JointKind:
        """The joint as the table of joints knows it."""
        return JOINTS[self.kind]

    @property
    def left_out(self) -> tuple[Proportion, ...]:
        """What its joint leaves to the proportions of its boards."""
        return proportions(self.joint_kind, self.joint, self.boards)

    @property
    def layout(self) -> Layout:
        """The joint in the plane."""
        return self.joint_kind.layout(self.joint, self.boards)

    def workmanship_on(self, surface: str) -> Workmanship:
        """How a surface is glued: its own workmanship where it has any, else the corner's."""
        own = self.surface_workmanship.get(surface)
        return self.workmanship if own is None else own.instead_of(self.workmanship)

    def with_woods(self, change: Callable[[Wood], Wood]) -> Self:
        """The same with each of its woods changed."""
        return replace(self, woods={member: change(wood) for member, wood in self.woods.items()})

    @property
    def moment_per_load(self) -> float:
        """Moment in N mm at the inner corner for P = 1 N."""
        return self.arrangement.moment_per_load(self.boards, self.load_off_line)
