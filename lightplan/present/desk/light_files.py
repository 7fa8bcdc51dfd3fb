"""Photometric files that a visitor adds to the catalog on the desk."""

from __future__ import annotations

import dataclasses

from lightplan.inputs.bundle import MOST_FILES, plain_name
from lightplan.inputs.files import refusal
from lightplan.inputs.photometric_file import read_photometry
from lightplan.present.desk.desk import Desk

#: endings of such files
UPLOADS = ("ies",)


def add_light_file(desk: Desk, name: str, data: bytes) -> None:
    """Put a photometric file beside the catalog, in the place of one of that name.

    InputError, and nothing changed, where it cannot be used, or there are too many files.
    """
    plain = plain_name(name)
    read_photometry(data, plain)
    others = {**desk.draft.others, plain: data}
    if len(others) > MOST_FILES // 2:
        raise refusal(plain, f"there are too many files, needs {MOST_FILES // 2} at most")
    desk.draft = dataclasses.replace(desk.draft, others=others)
