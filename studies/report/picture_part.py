"""The pictures of a directory of answers, inside the page, each with what it shows in words."""

from __future__ import annotations

from glueline.studies.files.display import format_force, words_in_units
from glueline.studies.files.units import Units
from glueline.studies.rank.ranking import RankedCorner, strongest_first
from glueline.studies.rank.write_ranking import BANDS_PICTURE, MAPS_PICTURE
from glueline.studies.report.directory import Results
from glueline.studies.report.figures import figure
from glueline.studies.report.markup import Markup, element, joined
from glueline.studies.show.pictures import ENGINEERS

MOMENT_PICTURE = "moment_along_path.png"
ONE_SURFACE = "The load along the path, and how far along its only glued surface the glue has gone."
"""What the same picture shows of a joint in which one surface carries the whole moment."""

HALVES_PICTURE = "broken_halves.png"
PATH_PICTURES = ("damage.png", HALVES_PICTURE, MOMENT_PICTURE)  # of a progressive answer only
PALE = "Pale is healthy, strong is near breaking."
RINGED = f"{PALE} The ring marks what gives first."
COLOURED = (
    "Glue has the colours of wood: 100 % is where either gives, and where glue has begun to soften. Where "
    "pieces overlap, the harder worked is shown; stresses in wood are means along the grain, and within 2 mm "
    "of a glue line the glue decides. How far bought fasteners bend is not coloured."
)
USED = f"{RINGED} {COLOURED}"
CUT_OFF = (
    "The colours cover the stress of 99.5 % of the area; at sharp corners it is higher and grows as elements "
    "shrink. How far the corner bends is drawn larger than it is."
)
CAPTIONS = {
    "predict": {
        "load_displacement.png": "Load against how far the corner gives under it. First damage is where one "
        "point of the glue comes to its strength; nothing is heard there, and how low it "
        "lies depends on how finely the calculation divides the glue.",
        "damage.png": f"How the glue lines let go, state by state along the path. {PALE} Here it is the "
        "share of the glue's toughness that is spent; the ring marks where it starts.",
        HALVES_PICTURE: "The pieces that the corner is predicted to fall into, to lay the real ones beside: "
        "which glued faces come off bare and which with torn fibres, and where wood breaks. They are drawn "
        "apart along a straight line; real cracks wander.",
        MOMENT_PICTURE: "The load along the path, and which surface carries how much of the bending.",
        "parts.png": "The corner's pieces with their grain, how they are loaded and held, and how they stand "
        "across the width.",
        "face.png": "The joint cut open along either board: how its pieces stand across the width.",
        "share_of_strength.png": f"How much of its strength every place uses as the corner breaks. {RINGED}",
        "stress_along.png": f"Stress along the grain. {CUT_OFF}",
        "stress_across.png": f"Stress across the grain: what splits wood and pulls glue open. {CUT_OFF}",
        "stress_shear.png": f"Shear stress along the grain. {CUT_OFF}",
        "tractions.png": "What each glue line carries along its length, and how each cheek is stressed.",
    },
    "rank": {
        BANDS_PICTURE: "Break load of each corner, with the band, 5 to 95 %, where it is known.",
        MAPS_PICTURE: f"How much of its strength every corner uses where, each at its own break load. {USED}",
    },
    "sweep": {"sweep.png": "Break load against what was varied, with its band, marked by what breaks."},
}
"""What each picture of a command shows, in the order of the page; other pictures are left out."""


FIRST_PICTURES = {"predict": "share_of_strength.png", "rank": BANDS_PICTURE, "sweep": "sweep.png"}
"""What the page of each command opens with. Of a corner it is the one that every answer has, which shows
where to watch and names the load."""


def first_picture(results: Results, units: Units) -> Markup:
    """The picture that says most at a glance, as wide as the screen; nothing where it is not there."""
    name = FIRST_PICTURES[results.command]
    if name not in results.pictures:
        return Markup("")
    caption = words_in_units(CAPTIONS[results.command][name], units)
    summary = _summary(results, results.corners, units)
    return figure(results.pictures[name], caption, f"{caption} {summary}", class_="first")


def pictures_section(results: Results, units: Units) -> Markup:
    """Every further picture as part of the page; one that is not in the directory is named."""
    captions = CAPTIONS[results.command]
    corners = results.corners
    progressive = any(corner.method == "progressive" for corner in corners)
    summary = _summary(results, corners, units)
    figures, missing = [], []
    for name, caption in captions.items():
        if name in PATH_PICTURES and not progressive:
            continue
        if name not in results.pictures:
            missing += [name] if name not in (*ENGINEERS, HALVES_PICTURE) else []
            continue
        if name == FIRST_PICTURES[results.command]:
            continue
        if name == MOMENT_PICTURE and all(len(each.moment_share) == 1 for each in corners):
            caption = ONE_SURFACE
        caption = words_in_units(caption, units)
        figures.append(figure(results.pictures[name], caption, f"{caption} {summary}"))
    if results.command == "predict":
        figures.append(element("p", f"Of the first picture: {COLOURED[:1].lower()}{COLOURED[1:]}"))
    if missing:
        figures.append(element("p", f"Not in the directory: {', '.join(missing)}."))
    return joined(figures)


def _summary(results: Results, corners: tuple[RankedCorner, ...], units: Units) -> str:
    """The answer in a sentence, for those who do not see the picture."""
    ranked = strongest_first(corners)
    if results.command == "predict":
        only = ranked[0]
        load = format_force(only.break_load, units)
        return f"The {only.joint} corner breaks at {load}: {only.mode}."
    if results.command == "rank":
        words = ", ".join(f"{each.label} {format_force(each.break_load, units)}" for each in ranked)
        return f"{words}."
    least, most = (format_force(each.break_load, units) for each in (ranked[-1], ranked[0]))
    return f"{len(ranked)} answers from {least} to {most}."
