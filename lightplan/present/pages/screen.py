"""The script that the server of the screens runs, for an installed package, where no app.py lies beside it."""

from __future__ import annotations

from lightplan.present.pages.frame import run

if __name__ == "__main__":
    run()
