"""The program: `lightplan`, or `python -m lightplan`."""

from __future__ import annotations

import os


def main() -> None:
    """Run the command line; Ctrl-C while it is still being loaded ends it without a word."""
    try:
        from lightplan.present.cli import main as run  # noqa: PLC0415
    except KeyboardInterrupt:
        os._exit(130)
    run()


if __name__ == "__main__":
    main()
