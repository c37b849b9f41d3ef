"""Glueline's studies: read a specimen, predict, draw, report.

The small Python interface: ``read_specimen(path, changes)`` and ``predict(specimen)``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from studies.failures import ComputationError, InputError
    from studies.prediction import Prediction
    from studies.predictor import predict
    from studies.specimen import Specimen
    from studies.specimen_file import read_specimen

__all__ = ["ComputationError", "InputError", "Prediction", "Specimen", "predict", "read_specimen"]

_HOMES = {
    "ComputationError": "failures",
    "InputError": "failures",
    "Prediction": "prediction",
    "Specimen": "specimen",
    "predict": "predictor",
    "read_specimen": "specimen_file",
}


def __getattr__(name: str) -> Any:
    """Load a public name on first use, so that the command line answers --help at once."""
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(f"studies.{_HOMES[name]}"), name)
    raise AttributeError(f"module 'studies' has no attribute {name!r}")
