"""Who may look at the dashboard: on this machine only, or behind a login, or loudly in the open."""

import tomllib
from pathlib import Path

import pytest
from streamlit import config
from streamlit.testing.v1 import AppTest

from recommender.dashboard import guard

ROOT = Path(__file__).parents[2]
AUTH = {
    "redirect_uri": "http://localhost:8501/oauth2callback",
    "cookie_secret": "a long random text",
    "client_id": "id",
    "client_secret": "secret",
    "server_metadata_url": "https://login.example.org/.well-known/openid-configuration",
}


def test_as_it_comes_it_is_for_this_machine_and_sends_nothing():
    settings = tomllib.loads((ROOT / ".streamlit/config.toml").read_text())
    assert guard.is_loopback(settings["server"]["address"])
    assert settings["server"]["enableXsrfProtection"] is True and settings["server"]["enableCORS"] is True
    assert settings["server"]["maxUploadSize"] <= 10
    assert settings["browser"]["gatherUsageStats"] is False
    assert settings["client"]["disableDataExport"] is True


def test_nothing_is_said_on_this_machine(screen):
    assert "no login" not in screen().text


@pytest.mark.parametrize("address", ["0.0.0.0", "192.168.1.20", None])
def test_in_the_open_it_says_so_at_the_top_of_every_page(screen, address):
    before = config.get_option("server.address")
    config.set_option("server.address", address)
    try:
        page = screen()
        for name in ("", "work", "gear", "kit", "plans", "owned", "settings"):
            assert "There is no login" in page.go(name).app.error[0].value
    finally:
        config.set_option("server.address", before)


def test_where_a_login_is_set_up_nothing_is_shown_before_it():
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30)
    app.secrets["auth"] = AUTH
    app.run()
    assert not app.exception
    assert [one.label for one in app.button] == ["Sign in"]
    assert [one.value for one in app.title] == ["Rigging kit planner"] and not app.metric
