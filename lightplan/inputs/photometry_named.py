"""The photometric files that a catalog's fixtures name: read from beside the catalog, and from nowhere else."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from pathlib import Path

from lightplan.inputs.bundle import plain_name
from lightplan.inputs.catalog_model import Fixture
from lightplan.inputs.errors import Fault, InputError
from lightplan.inputs.files import refusal
from lightplan.inputs.light_data import Photometry
from lightplan.inputs.photometric_file import MOST_FILE_BYTES, read_photometry

#: a catalog of more lights than this with a file each is none that somebody typed
MOST_NAMED = 200


def read_beside(directory: Path, name: str) -> bytes:
    """Return a file's content, of one that is too large the beginning; InputError where it is not one of the folder's.

    A name that leads elsewhere is refused, and so are a link that does and what is no ordinary file.
    """
    _check_name(name)
    try:
        path = Path(os.path.realpath(directory / name))
        if path.parent != Path(os.path.realpath(directory)):
            raise refusal(name, "this is a link to another folder, needs the file itself beside the catalog")
        if not path.exists():
            raise refusal(name, "there is no such file beside the catalog")
        if not path.is_file():
            raise refusal(name, "this is no ordinary file, needs a photometric file")
        with open(path, "rb") as stream:
            return stream.read(MOST_FILE_BYTES + 1)
    except PermissionError:
        raise refusal(name, "you are not allowed to read this file") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise refusal(name, f"this file can't be read ({reason})") from None


def _check_name(name: str) -> None:
    if plain_name(name) != name:
        raise refusal(name, "a file beside the catalog is named without folders")


def read_named(
    fixtures: Iterable[Fixture], content: Callable[[str], bytes]
) -> tuple[tuple[Photometry, ...], list[Fault]]:
    """Return the photometry of every file that fixtures name, each once, and what is wrong with the others.

    `content` gives a file's bytes by its name, or raises InputError.
    """
    found: dict[str, Photometry] = {}
    wrong: dict[str, str] = {}
    faults = []
    for position, fixture in enumerate(fixtures):
        name = fixture.photometry
        if name is None:
            continue
        if name not in found and name not in wrong:
            try:
                if len(found) + len(wrong) >= MOST_NAMED:
                    raise refusal(name, f"there are too many photometric files, needs {MOST_NAMED} at most")
                _check_name(name)
                found[name] = read_photometry(content(name), name)
            except InputError as error:
                wrong[name] = error.problems[0].message
        if name in wrong:
            message = f"photometry is {name!r}: {wrong[name]}"
            faults.append(Fault(("fixtures", position, "photometry"), message))
    return tuple(found.values()), faults
