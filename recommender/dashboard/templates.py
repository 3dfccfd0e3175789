"""Blank tables to start a catalogue from, as bytes to download."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from tempfile import TemporaryDirectory

from catalog_schema.gear import TABLES
from catalog_schema.templates import write_templates
from catalog_schema.units import UnitSystem

WORKBOOK = "catalogue.xlsx"


def template_workbook(system: UnitSystem) -> bytes:
    """A workbook with a sheet for each kind of gear, each with one example row."""
    with TemporaryDirectory() as place:
        write_templates(place, TABLES, workbook=WORKBOOK, system=system)
        return (Path(place) / WORKBOOK).read_bytes()


def template_archive(system: UnitSystem) -> bytes:
    """A ZIP archive of CSV files, one for each kind of gear, each with one example row."""
    out = io.BytesIO()
    with TemporaryDirectory() as place, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in write_templates(place, TABLES, system=system):
            archive.write(path, path.name)
    return out.getvalue()
