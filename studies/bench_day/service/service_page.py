"""What service has to say on a page."""

from __future__ import annotations

from glueline.studies.bench_day.service.service import Service
from glueline.studies.bench_day.service.service_report import (
    about_service,
    assumption_rows,
    case_models,
    case_rows,
    said_of_service,
    verdict,
    what_is_compared,
)
from glueline.studies.files.display import words_in_units
from glueline.studies.files.units import Units
from glueline.studies.show.page_words import PagePart, PageWords, table_of


def service_page(service: Service, units: Units) -> PageWords:
    """What is said aloud, the governing case and all others, how they are compared, every assumption."""
    words, count = said_of_service(service, units), len(service.estimates)
    governs = verdict(service).replace("the factors above", "the factors below")
    return PageWords(
        title=f"A {service.specimen.kind} corner in use: {service.use.name}",
        about=about_service(service),
        said=(*words[:count], governs),
        parts=(
            PagePart(
                heading="What each load asks, and what the corner holds",
                sentences=(what_is_compared(service, units), *words[count:]),
                tables=(table_of(case_rows(service, units)),),
            ),
            PagePart(heading="What is assumed", tables=(table_of(assumption_rows(service, units)),)),
            PagePart(heading="How each load is taken", folded=True, listed=tuple(case_models(service))),
        ),
        cautions=tuple(words_in_units(each, units) for each in service.cautions),
    )
