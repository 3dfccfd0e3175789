"""The dashboard: pages over the planner. Only this package and ``app.py`` know Streamlit.

Without it: ``sheets`` (tables that can be edited), ``records`` (their rows while they may be faulty), ``checking``
(from rows to a plan), ``draft`` (where a plan comes from), ``keeping`` (what is saved), ``uploads`` and the modules of
rows for single pages. With it: ``state`` (all that a session remembers), ``shelf`` (the store), ``solving`` (kits kept
by the digest of their inputs), ``table_editor``, ``frame`` (what every page has around it), ``shown`` and ``pages``.
"""
