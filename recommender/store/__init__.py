"""Saved plans and their history, in a file of one's own or in a shared database."""

from recommender.store.backup import Restored
from recommender.store.differences import Difference, RowDifference, differences
from recommender.store.documents import Documents, Json
from recommender.store.engine import ENVIRONMENT, default_url
from recommender.store.errors import (
    BrokenBackup,
    EditedElsewhere,
    NameTaken,
    NewerStore,
    NoSuchPlan,
    StoreError,
)
from recommender.store.merging import merged
from recommender.store.plan_documents import TABLES, PlanParts, Record, Rows, gear_table, parts_of, records_of
from recommender.store.records import RECOVERABLE, PlanEntry, Revision, Step
from recommender.store.store import Store

__all__ = [
    "ENVIRONMENT",
    "RECOVERABLE",
    "TABLES",
    "BrokenBackup",
    "Difference",
    "Documents",
    "EditedElsewhere",
    "Json",
    "NameTaken",
    "NewerStore",
    "NoSuchPlan",
    "PlanEntry",
    "PlanParts",
    "Record",
    "Restored",
    "Revision",
    "RowDifference",
    "Rows",
    "Step",
    "Store",
    "StoreError",
    "default_url",
    "differences",
    "gear_table",
    "merged",
    "parts_of",
    "records_of",
]
