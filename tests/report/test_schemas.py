"""The published schemas describe what is written."""

from __future__ import annotations

import json
from pathlib import Path

from recommender.report.schemas import DOCUMENTS, document_schema, write_all_schemas


def test_documents_list_every_field_and_refuse_others() -> None:
    for name, model in DOCUMENTS.items():
        schema = document_schema(name, model)
        assert set(schema["properties"]) == set(model.model_fields)
        assert schema["additionalProperties"] is False and schema["description"]


def test_files_are_json_and_written_again_alike(tmp_path: Path) -> None:
    paths = write_all_schemas(tmp_path)
    before = {path: path.read_bytes() for path in paths}
    assert len(paths) == len({path.name for path in paths})
    for path, text in before.items():
        assert json.loads(text)["title"] == path.name.removesuffix(".schema.json")
    assert write_all_schemas(tmp_path) == paths
    assert {path: path.read_bytes() for path in paths} == before
