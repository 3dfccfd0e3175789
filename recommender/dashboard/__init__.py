"""The dashboard: pages over the planner. Only this package and ``app.py`` know Streamlit.

Without it: ``work_table`` (edited rows), ``draft`` (the plan that is being edited), ``uploads``, ``templates`` and
``kit_tables``. With it: ``state`` (all that a session remembers), ``solving`` (kits kept by the digest of their
inputs), ``frame`` (what every page has around it), ``shown`` (tables and texts on the screen) and ``pages``.
"""
