"""Glueline: at what load a glued corner joint breaks, where, and whether the glue or the wood gives.

>>> from glueline import predict, read_specimen
>>> from glueline.studies.examples import example_path  # a path of your own does as well
>>> answer = predict(read_specimen(example_path("butt")), method="elastic")
>>> round(answer.break_load, -1), answer.critical.where  # N
(460.0, 'outside end of the butt face')
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.corner.specimen_file import read_specimen
    from glueline.studies.files.failures import ComputationError, InputError
    from glueline.studies.predict.answer import Answer
    from glueline.studies.predict.prediction import Prediction
    from glueline.studies.predict.predictor import predict
    from glueline.studies.predict.request import Request

__all__ = [
    "Answer",
    "ComputationError",
    "InputError",
    "Prediction",
    "Request",
    "Specimen",
    "predict",
    "read_specimen",
]

_HOMES = {
    "Answer": "predict.answer",
    "ComputationError": "files.failures",
    "InputError": "files.failures",
    "Prediction": "predict.prediction",
    "Request": "predict.request",
    "Specimen": "corner.specimen",
    "predict": "predict.predictor",
    "read_specimen": "corner.specimen_file",
}


def __getattr__(name: str) -> Any:
    """Load a public name on first use, so that the command line answers --help at once."""
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(f"glueline.studies.{_HOMES[name]}"), name)
    raise AttributeError(f"module 'glueline' has no attribute {name!r}")
