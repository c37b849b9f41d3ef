"""What workmanship does to a glued surface, in sentences that name it where it differs from the rest."""

from __future__ import annotations

from glueline.materials.workmanship import Workmanship, factors
from glueline.studies.corner.connections import Connection
from glueline.studies.corner.model import CornerModel

SOUND = Workmanship()


def spoken_effects(corner: CornerModel, connection: Connection) -> tuple[str, ...]:
    """The effects on a connection; those it does not share with the rest of the corner begin with its name.

    Where it is sound by its own workmanship and the rest is not, that is said as well.
    """
    specimen, name = corner.specimen, connection.name
    own = specimen.surface_workmanship.get(name)
    if own is None:
        return connection.effects
    general = specimen.workmanship
    shared, here = (
        factors(each, specimen.glue, specimen.moisture).effects
        for each in (general, specimen.workmanship_on(name))
    )
    differing = set(here) - set(shared)
    said = [
        f"On the {name}, {effect[0].lower()}{effect[1:]}" if effect in differing else effect
        for effect in connection.effects
    ]
    sound = [
        workmanship_words(key, value)
        for key, value in own.given.items()
        if value == getattr(SOUND, key) != getattr(general, key)
    ]
    return (*said, *([f"On the {name}: {', '.join(sound)}."] if sound else []))


def workmanship_words(key: str, value: float) -> str:
    """A key of workmanship with its value: mm for a gap, percent for shares."""
    return f"{key} {value:g} mm" if key == "gap" else f"{key} {100 * value:g} %"
