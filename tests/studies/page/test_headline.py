"""The headline of an answer says what the command line says, in either units and on a rig."""

from __future__ import annotations

import json

from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.files.json_text import json_line, json_text
from glueline.studies.page.headline import headline
from glueline.studies.predict.answer import Event
from glueline.studies.predict.said_aloud import sentence_aloud
from glueline.studies.show.range_words import range_words
from tests.studies.made_up_answers import made_up

RANGES = {"end_grain": (980.0, 1010.0), "side_grain": (800.0, 1300.0)}
ANSWER = made_up(
    1000.0,
    band=(700.0, 1400.0),
    ranges=RANGES,
    first_crack_load=900.0,
    events=(
        Event(kind="cracks", load=900.0, displacement=0.4, where="mitre", mode="glue opening", part="mitre"),
        Event(kind="lets go", load=1000.0, displacement=0.5, where="mitre", mode="glue shear", part="mitre"),
    ),
    notes=("Boards 19 mm thick.",),
)


class Rig:
    """A rig on which a kilogram puts 10 N on the joint."""

    def weight(self, force: float) -> float:
        """In kg."""
        return force / 10

    def cautious_weight(self, force: float) -> float:
        """In kg."""
        return force / 12


def test_it_says_what_the_command_line_says() -> None:
    told = headline(ANSWER, "metric")
    assert told["answer"] == json.loads(json_text(ANSWER))
    assert told["aloud"] == sentence_aloud(ANSWER, "metric")
    assert (told["break_text"], told["band_text"]) == ("1000 N", "700 to 1400 N")
    assert {each["name"]: each["text"] for each in told["loads"]} == {
        "first damage": "500 N",
        "first crack": "900 N",
        "glue": "1000 N",
        "wood": "2000 N",
        "break": "1000 N",
    }
    assert told["ranges"] == [
        {"row": "side-grain glue", "low_text": "800 N", "high_text": "1300 N"},
        {"row": "end-grain glue", "low_text": "980 N", "high_text": "1010 N"},
    ]
    assert told["range_words"] == range_words(ANSWER, "metric")
    assert told["caution"] == CAUTIONS
    assert "The corner cracks at 900 N (mitre: glue opening)" in " ".join(told["notes"])
    json_line(told)


def test_inches_and_pounds() -> None:
    told = headline(ANSWER, "imperial")
    assert (told["break_text"], told["band_text"]) == ("224.8 lbf", "157.4 to 314.7 lbf")
    assert "Boards 3/4 in thick." in told["notes"] or "Boards 0.748 in thick." in told["notes"]
    assert told["answer"]["break_load_N"] == 1000.0


def test_on_a_rig_the_sentence_is_in_weights_and_each_load_has_its_own() -> None:
    told = headline(ANSWER, "metric", Rig())
    assert " kg stacked: " in told["aloud"]
    assert told["loads"][-1] == {**headline(ANSWER, "metric")["loads"][-1], "stacked": "100 kg"}
    assert not any("not weights stacked" in note for note in told["notes"])


def test_an_elastic_answer_has_no_band_and_no_ranges() -> None:
    told = headline(made_up(), "metric")
    assert (told["band_text"], told["ranges"], told["range_words"]) == (None, None, [])
    assert told["loads"][1]["text"] == "—"
    assert any(note.startswith("Left out of it:") for note in told["notes"])
