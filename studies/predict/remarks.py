"""What an answer says in words: the sentence why, and what the reader must know besides."""

from __future__ import annotations

from glueline.materials import Bond
from glueline.studies.corner.bond_laws import brittle_surfaces
from glueline.studies.corner.glue_limits import Limit
from glueline.studies.corner.model import CornerModel
from glueline.studies.files.display import percent
from glueline.studies.predict.break_path import BreakPath


def first_surface_only(corner: CornerModel, critical: Limit) -> tuple[str, ...]:
    """What an elastic answer cannot see: load that moves to other surfaces when the first one gives."""
    others = [surface.name for surface in corner.surfaces if surface.name != critical.part]
    if critical.kind != "glue" or not others:
        return ()
    return (
        f"The elastic answer ends when the {critical.part} give way; the other glued surfaces may then carry "
        "more, so this corner can hold more than is said here.".replace("the mitre give", "the mitre gives"),
    )


def bond_effects(corner: CornerModel) -> tuple[str, ...]:
    """Plain sentences on what a poor fit, a starved line, tired glue or damp wood does here, each once."""
    sentences: list[str] = []
    for glue in corner.bonds.values():
        if isinstance(glue, Bond):
            sentences += glue.effects
    return tuple(dict.fromkeys(sentences))


CRUSHED_SHARE = 0.05  # of a glued face: less than that is the corner of a mesh more than of wood


def bearing_note(found: BreakPath, crushing: bool) -> tuple[str, ...]:
    """Where faces press harder at the break than their wood can bear, over more than a bit of them."""
    if crushing:
        return ()
    worst, name = CRUSHED_SHARE, ""
    tractions = found.tractions(found.state)
    for surface in found.corner.surfaces:
        bond = found.corner.bonds[surface.name]
        if not isinstance(bond, Bond):
            continue
        beyond = -tractions[surface.name][:, 1] > bond.crushing_strength
        share = float(surface.weight[beyond].sum() / surface.weight.sum())
        if share > worst:
            worst, name = share, surface.name
    if not name:
        return ()
    return (
        f"At the break the faces press harder than the wood can bear over {percent(worst)} of the "
        f"{name}; here they do not yield. --crushing lets them and gives both loads.",
    )


def brittle_note(corner: CornerModel) -> tuple[str, ...]:
    """Bonds that store more at their strength than their toughness, in words."""
    return tuple(
        f"The glue of the {name} stores {excess:.1f} times its toughness by the time it reaches its strength "
        "(soft glue, or much wood beside it that shears): it lets go at once and spends all that it stored."
        for name, excess in brittle_surfaces(corner).items()
    )


def sentence(critical: Limit, share: dict[str, float]) -> str:
    """One plain sentence: what gives, where, and what carried the moment."""
    main = max(share, key=lambda name: abs(share[name]))
    lead = {
        "glue opening": "The glue opens",
        "glue shear": "The glue shears",
        "glue opening with shear": "The glue opens and shears",
        "rolling shear beside the glue": "The wood beside the glue rolls off in shear across its grain",
        "fibre tension": "The wood's fibres tear",
        "fibre bending on the pressed side": "The wood breaks in bending, first on its pressed side",
        "splitting": "The wood splits along its grain",
        "shear along the grain": "The wood shears along its grain",
        "rolling shear": "The wood shears across its grain",
    }[critical.mode]
    carried = f"{percent(share[main])} of the corner moment was on the {main}" if len(share) > 1 else ""
    place = f"at the {critical.where}" if critical.kind == "glue" else f"in the {critical.where}"
    place = place.replace("in the board", "in board")
    return f"{lead} {place}{'; ' + carried if carried else ''}."
