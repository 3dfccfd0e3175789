"""Who may look: a login where one is set up, and a loud word where the dashboard can be reached without one."""

from __future__ import annotations

import ipaddress

import streamlit as st
from streamlit.errors import StreamlitSecretNotFoundError


def has_login() -> bool:
    """Whether a login is set up: the secrets of Streamlit have an ``[auth]`` table."""
    try:
        return "auth" in st.secrets
    except (FileNotFoundError, StreamlitSecretNotFoundError):
        return False


def require_login() -> None:
    """Where a login is set up, nothing is shown before it."""
    if not has_login() or getattr(st.user, "is_logged_in", False):
        return
    st.title("Rigging kit planner")
    st.markdown("Sign in to see the plans that are kept here.")
    st.button("Sign in", on_click=st.login, type="primary")
    st.stop()


def exposure() -> None:
    """What has to be said about who can reach this dashboard; nothing on one's own machine."""
    if has_login():
        with st.sidebar:
            st.caption("Everybody who may sign in shares the plans that are kept here.")
            st.button("Sign out", on_click=st.logout)
    elif not is_loopback(str(st.get_option("server.address") or "0.0.0.0")):
        st.error(
            "**Anyone who can reach this machine over the network can see and change every plan here.** There is no "
            "login. Start it on this machine only (server.address 127.0.0.1), or set up a login: the README says how.",
            icon=":material/lock_open:",
        )


def is_loopback(address: str) -> bool:
    """Whether an address that a server listens on can be reached from its own machine only.

    >>> is_loopback("127.0.0.1"), is_loopback("::1"), is_loopback("localhost")
    (True, True, True)
    >>> is_loopback("0.0.0.0"), is_loopback("::"), is_loopback("192.168.1.20"), is_loopback("gear.example.org")
    (False, False, False, False)
    """
    if address == "localhost":
        return True
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False
