"""A server that asks no other machine.

When a page of somebody else's, open in the same browser, tries to reach the screens, the server finds that the page
comes from elsewhere, and refuses. But before that Streamlit (1.67) asks an outside service for this machine's own
address, lest the page come from there. The screens are on 127.0.0.1 only, so there is nothing to ask.
"""

from __future__ import annotations


def stay_at_home() -> None:
    """Let the server of this process never look up its own address."""
    from streamlit import net_util  # noqa: PLC0415 - heavy, and in the server's process only

    net_util.get_external_ip = _nowhere
    net_util.get_internal_ip = _nowhere


def _nowhere() -> None:
    return None
