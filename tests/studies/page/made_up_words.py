"""Sentences, ranges and headlines in the page's messages, made up."""

from __future__ import annotations

import copy
from typing import Any

from tests.studies.page.made_up_scenes import CAUTION

Corner = dict[str, dict[str, Any]]
Part = dict[str, Any]

CORNER: Corner = {
    "joint": {"kind": "finger", "fingers": "9"},
    "boards": {"thickness": "19 mm", "width": "90 mm", "leg": "150 mm", "wood": "hard maple", "sawn": "flat"},
    "glue": {"kind": "pva"},
    "load": {"arrangement": "diagonal compression"},
}
WOODS = (
    "hard maple",
    "soft maple",
    "red oak",
    "white oak",
    "black cherry",
    "black walnut",
    "white ash",
    "beech",
    "yellow birch",
    "yellow poplar",
    "basswood",
    "hickory",
    "white pine",
    "<b>bold</b> wood",
)
CHOICES = {
    "joint.kind": [("butt", "butt"), ("finger", "finger"), ("mitre", "mitre")],
    "boards.wood": [(wood, wood) for wood in WOODS],
    "boards.sawn": [("flat", "flat sawn"), ("quarter", "quarter sawn")],
    "glue.kind": [("pva", "white glue"), ("hide", "hide glue"), ("none", "no glue")],
    "load.arrangement": [
        ("diagonal compression", "pressed closed"),
        ("diagonal tension", "pulled open"),
        ("apex press", "pressed at its point like a roof"),
        ("cantilever in", "clamped by one leg and pressed closed"),
        ("cantilever out", "clamped by one leg and pulled open"),
    ],
}
LIMITS = {
    "boards.thickness": (6, 40),
    "boards.width": (20, 200),
    "boards.leg": (80, 400),
    "joint.fingers": (3, 25),
}
LABELS = {
    "joint.kind": "joint",
    "joint.fingers": "fingers",
    "boards.thickness": "thickness",
    "boards.width": "width",
    "boards.leg": "leg",
    "boards.wood": "wood",
    "boards.sawn": "sawn",
    "glue.kind": "glue",
    "load.arrangement": "load",
    "boards.pinned": "pins",
}


def sentence(corner: Corner, units: str, edit: dict[str, str] | None) -> dict[str, Any]:
    """The corner with the edit in it, as a sentence in the units asked for."""
    corner = copy.deepcopy(corner)
    if edit:
        table, key = edit["key"].split(".")
        corner.setdefault(table, {})[key] = edit["value"]
    for key in ("thickness", "width", "leg"):
        corner["boards"][key] = _in_units(corner["boards"][key], units)
    parts: list[Part] = [
        {"text": "A "},
        _word(corner, "joint.kind"),
        {"text": " corner of "},
        _word(corner, "boards.wood"),
    ]
    parts += [{"text": ", boards "}, _word(corner, "boards.thickness"), {"text": " thick and "}]
    parts += [_word(corner, "boards.width"), {"text": " wide, legs "}, _word(corner, "boards.leg")]
    if corner["joint"]["kind"] == "finger":
        parts += [{"text": ", "}, _word(corner, "joint.fingers"), {"text": " fingers"}]
    parts += [
        {"text": ", glued with "},
        _word(corner, "glue.kind"),
        {"text": ", "},
        _word(corner, "boards.sawn", True),
    ]
    parts += [{"text": ", with pins: "}, _word(corner, "boards.pinned", True)]
    parts += [{"text": "; the corner is "}, _word(corner, "load.arrangement"), {"text": "."}]
    wrong = [{"key": part["key"], "message": part["wrong"]} for part in parts if part.get("wrong")]
    command = f"glueline predict finger.toml --set joint.kind={corner['joint']['kind']} --units {units}"
    plain = "".join(part["text"] for part in parts)
    return {
        "corner": corner,
        "units": units,
        "parts": parts,
        "wrong": wrong,
        "command": command,
        "plain": plain,
    }


def span(key: str, units: str, corner: Corner) -> dict[str, Any]:
    """The stops of a slider."""
    table, name = key.split(".")
    if key in CHOICES:
        return {"key": key, "stops": [value for value, _ in CHOICES[key]], "at": 0, "label": LABELS[key]}
    low, high = LIMITS[key]
    stops = [_text(key, value, units) for value in range(low, high + 1)]
    at = stops.index(corner[table][name]) if corner[table][name] in stops else 0
    return {"key": key, "stops": stops, "at": at, "label": LABELS[key]}


def load_of(corner: Corner) -> float:
    """A number that grows with what a maker would expect, in N."""
    count = amount(corner["joint"].get("fingers", "1")) if corner["joint"]["kind"] == "finger" else 2
    return round(10 * amount(corner["boards"]["thickness"]) * (1 + count), 1)


def amount(text: str) -> float:
    """Millimetres or a count."""
    number, *unit = str(text).split(" ")
    return float(number) * (25.4 if unit == ["in"] else 1)


def headline(corner: Corner, units: str, *, band: bool) -> dict[str, Any]:
    """The words for that load."""
    load = load_of(corner)
    text = force(load, units)
    names = {
        "first damage": "nothing is heard: only to compare corners",
        "first crack": "to stop at and stay away: cracked counts as broken",
        "glue": "where the glue lets go: fit, area or another glue move it",
        "wood": "where the wood gives: past it better glue gains nothing",
        "break": "what brings it down: to rank joints, to bring weights for",
    }
    return {
        "answer": {
            "break_load_N": load,
            "band_N": [0.7 * load, 1.3 * load] if band else None,
            "breaks_in": "glue",
        },
        "aloud": f"Stand clear from {force(0.7 * load, units)} (force on the joint): it likely goes between "
        f"{force(0.75 * load, units)} and {force(1.3 * load, units)}; watch the outer part of the "
        "finger cheeks.",
        "loads": [{"name": name, "text": text, "for": use} for name, use in names.items()],
        "break_text": text,
        "band_text": f"nine of ten between {force(0.75 * load, units)} and {force(1.3 * load, units)}"
        if band
        else None,
        "breaks_in": "glue",
        "where": "outer part of the finger cheeks",
        "mode": "rolling shear beside the glue",
        "why": "The wood beside the glue rolls off in shear across its grain; 75 % of the bending was there.",
        "notes": [
            "Read the loads of many thin fingers as upper values.",
            "A note with <script>alert(1)</script> in it.",
        ],
        "ranges": [{"row": "side grain", "low_text": text, "high_text": text}] if band else None,
        "caution": CAUTION,
    }


def force(load: float, units: str) -> str:
    """A load in words."""
    return f"{load / 4.448:.0f} lbf" if units == "imperial" else f"{load:.0f} N"


def _word(corner: Corner, key: str, optional: bool = False) -> Part:
    table, name = key.split(".")
    value = str(corner[table].get(name, "no" if key == "boards.pinned" else ""))
    found: Part = {
        "key": key,
        "text": value,
        "label": LABELS[key],
        "choices": None,
        "wrong": None,
        "optional": optional,
    }
    if key in CHOICES:
        named = dict(CHOICES[key])
        listed = [{"value": each, "text": text, "note": f"about {text}"} for each, text in CHOICES[key]]
        wrong = None if value in named else f"no {LABELS[key]} is called {value!r}"
        return {
            **found,
            "shape": "choice",
            "text": named.get(value, value),
            "choices": listed,
            "wrong": wrong,
        }
    if key == "boards.pinned":
        return {**found, "shape": "yes or no"}
    low, high = LIMITS[key]
    try:
        fits = low <= amount(value) <= high
    except ValueError:
        return {
            **found,
            "shape": "quantity",
            "wrong": f"{value!r} is no length; write such as 19 mm or 3/4 in",
        }
    wrong = None if fits else f"{value} does not fit: between {low} and {high}"
    return {**found, "shape": "count" if key == "joint.fingers" else "quantity", "wrong": wrong}


def _in_units(text: str, units: str) -> str:
    wanted = "in" if units == "imperial" else "mm"
    try:
        return text if text.endswith(wanted) else _text("boards", round(amount(text)), units)
    except ValueError:
        return text


def _text(key: str, value: float, units: str) -> str:
    if key == "joint.fingers":
        return str(value)
    return f"{value / 25.4:.3f} in" if units == "imperial" else f"{value} mm"
