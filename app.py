"""Entry of the dashboard: ``streamlit run app.py``. Pages and nothing else."""

import streamlit as st

from recommender.dashboard import frame
from recommender.dashboard.pages import gear, kit, start, work

frame.run(
    {
        "start": st.Page(start.show, title="Start", icon=":material/forest:", default=True),
        "work": st.Page(work.show, title="Work", icon=":material/table_rows:", url_path="work"),
        "gear": st.Page(
            gear.show, title="Gear to choose from", icon=":material/inventory_2:", url_path="gear"
        ),
        "kit": st.Page(kit.show, title="Kit", icon=":material/checklist:", url_path="kit"),
    }
)
