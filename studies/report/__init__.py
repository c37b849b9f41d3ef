"""A directory of results as one page that needs nothing else: no network, no script, no further files."""

from __future__ import annotations

from glueline.studies.report.directory import read_directory
from glueline.studies.report.page import is_report_page, report_page

__all__ = ["is_report_page", "read_directory", "report_page"]
