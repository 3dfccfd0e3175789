"""Entry of the dashboard: ``streamlit run app.py``. Pages and nothing else.

The server imports this file once and gets what to serve; each session then runs it as a script.
"""

import streamlit as st

from recommender.dashboard import opening

if __name__ == "__main__":
    st.set_page_config(page_title="Rigging kit planner", page_icon="🌲", layout="wide")
    opening.show(
        {
            "start": ("Start", "forest"),
            "work": ("Work", "table_rows"),
            "gear": ("Gear to choose from", "inventory_2"),
            "kit": ("Kit", "checklist"),
            "reasons": ("Reasons", "help"),
            "whatif": ("What if", "tune"),
            "limits": ("Limits", "straighten"),
            "ropes": ("Rope against rope", "compare_arrows"),
            "first": ("First purchases", "payments"),
            "seasons": ("Seasons", "calendar_month"),
            "owned": ("Owned gear", "construction"),
            "settings": ("Settings", "settings"),
            "plans": ("Plans", "folder_open"),
        }
    )
else:
    app = st.App(__file__, lifespan=opening.lifespan)
