"""The version, in a module of its own so that building the package imports nothing else."""

from __future__ import annotations

VERSION = "0.1.0"
