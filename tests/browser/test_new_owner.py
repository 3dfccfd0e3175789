"""A new owner with a list of gear of his own: a fault in it, put right; a kit, its reasons, and files that agree."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import openpyxl
import pytest
from playwright.sync_api import expect
from pypdf import PdfReader
from served import go, saved_file, settled, total

from catalog_schema.catalogue import load_catalogue
from catalog_schema.writing import write_catalogue_workbook
from recommender.dashboard.draft import DEMO_FOLDER
from recommender.kit.planning import plan_kit
from recommender.report.figures import money
from recommender.work.plan_json import plan_from_json

if TYPE_CHECKING:
    from playwright.sync_api import Page
