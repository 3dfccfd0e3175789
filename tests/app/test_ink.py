"""Cautions keep their ink while a page is worked out again."""

import re
from pathlib import Path

import streamlit

from recommender.dashboard.frame import STYLE


def test_what_streamlit_fades_is_told_by_the_mark_that_our_style_takes_the_fading_from():
    (rule,) = re.findall(r"\[(data-stale)\]:has\(\[data-testid=(\w+)\]\) \{([^}]*)\}", STYLE)
    assert "opacity: 1 !important" in rule[2]
    scripts = Path(streamlit.__file__).parent.glob("static/static/js/*.js")
    text = "".join(path.read_text(encoding="utf-8") for path in scripts)
    assert f'"{rule[0]}":' in text and rule[1] in text
