"""The server of the screens as a program, with the arguments of Streamlit: `-m lightplan.present.pages.server run ...`.

Streamlit runs the script of a page only when a browser has come. Here, what the first page needs is loaded while the
browser is still on its way and the server has nothing to do.
"""

from __future__ import annotations

import threading
import time
from importlib import import_module

from streamlit import runtime
from streamlit.runtime.runtime import RuntimeState
from streamlit.web.cli import main

from lightplan.present.commands.at_home import stay_at_home
from lightplan.present.pages.own_names import answer_to_own_names

#: what every first visitor waits for
FIRST = ("lightplan.present.pages.frame", "lightplan.present.pages.start")
#: how often it is looked whether the server stands, and how long it is waited for, seconds
PACE, PATIENCE = 0.02, 30.0


def preload() -> None:
    """Load what the first page needs, once the server stands: before that, both would wait for each other."""
    until = time.monotonic() + PATIENCE
    while not _listening() and time.monotonic() < until:
        time.sleep(PACE)
    for name in FIRST:
        import_module(name)


def _listening() -> bool:
    return runtime.exists() and runtime.get_instance().state is not RuntimeState.INITIAL


def run() -> None:
    """Run the server's own command line."""
    stay_at_home()
    answer_to_own_names()
    threading.Thread(target=preload, daemon=True).start()
    main(prog_name="streamlit")


if __name__ == "__main__":
    run()
