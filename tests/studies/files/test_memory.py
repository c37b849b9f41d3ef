"""Memory that nothing refers to any more goes back at once, cycles too."""

from __future__ import annotations

import gc
import weakref

from glueline.studies.files.memory import give_back, keep_for_good


class Large:
    """Something that holds itself."""

    def __init__(self) -> None:
        self.itself = self


def test_cycles_are_freed_and_what_is_loaded_stays() -> None:
    gc.disable()
    try:
        stays = Large()
        keep_for_good()
        goes = weakref.ref(Large())
        assert goes() is not None
        give_back()
        assert goes() is None
        assert stays.itself is stays
        assert gc.get_freeze_count() > 1000
    finally:
        gc.unfreeze()
        gc.enable()
