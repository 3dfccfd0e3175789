"""Entry of the dashboard: ``streamlit run app.py``. Pages and nothing else."""

import streamlit as st

from recommender.dashboard import frame
from recommender.dashboard.pages import gear, kit, limits, reasons, ropes, seasons, start, work

frame.run(
    {
        "start": st.Page(start.show, title="Start", icon=":material/forest:", default=True),
        "work": st.Page(work.show, title="Work", icon=":material/table_rows:", url_path="work"),
        "gear": st.Page(
            gear.show, title="Gear to choose from", icon=":material/inventory_2:", url_path="gear"
        ),
        "kit": st.Page(kit.show, title="Kit", icon=":material/checklist:", url_path="kit"),
        "reasons": st.Page(reasons.show, title="Reasons", icon=":material/help:", url_path="reasons"),
        "limits": st.Page(limits.show, title="Limits", icon=":material/straighten:", url_path="limits"),
        "ropes": st.Page(
            ropes.show, title="Rope against rope", icon=":material/compare_arrows:", url_path="ropes"
        ),
        "seasons": st.Page(
            seasons.show, title="Seasons", icon=":material/calendar_month:", url_path="seasons"
        ),
    }
)
