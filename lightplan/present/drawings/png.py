"""Maps as small pictures: one pixel a point, in the colours of the scale, as PNG inside a data URI."""

from __future__ import annotations

import base64
import struct
import zlib

import numpy as np
from numpy.typing import NDArray

from lightplan.present.drawings.colours import scale_colours

#: this entry of the picture's colour table is see-through: where a map has no PAR
NOTHING = 255


def map_picture(par: NDArray[np.float64], limit: float) -> str:
    """A map (m, n) as a data URI, its last row at the top; `limit` and more have the brightest colour, NaN none.

    The format is that of ISO/IEC 15948 (PNG), colour type 3: a table of 256 colours and an index for each pixel.
    """
    share = np.clip(np.nan_to_num(par, nan=0.0) / limit, 0.0, 1.0)
    index = np.where(np.isfinite(par), np.round(share * (NOTHING - 1)), NOTHING).astype(np.uint8)[::-1]
    height, width = index.shape
    table = scale_colours()[np.r_[np.round(np.arange(NOTHING) * 255 / (NOTHING - 1)).astype(int), 0]]
    rows = np.hstack([np.zeros((height, 1), dtype=np.uint8), index])  # each row begins with its filter: none
    data = b"".join(
        (
            b"\x89PNG\r\n\x1a\n",
            _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 3, 0, 0, 0)),
            _chunk(b"PLTE", table.astype(np.uint8).tobytes()),
            _chunk(b"tRNS", bytes([255] * NOTHING + [0])),
            _chunk(b"IDAT", zlib.compress(rows.tobytes(), 6)),
            _chunk(b"IEND", b""),
        )
    )
    return f"data:image/png;base64,{base64.b64encode(data).decode('ascii')}"


def colour_picture(colours: NDArray[np.uint8]) -> str:
    """A picture (m, n, 4) of red, green, blue and opacity as a data URI, its last row at the top.

    The format is that of ISO/IEC 15948 (PNG), colour type 6.
    """
    height, width, _ = colours.shape
    rows = np.hstack([np.zeros((height, 1), dtype=np.uint8), colours[::-1].reshape(height, width * 4)])
    data = b"".join(
        (
            b"\x89PNG\r\n\x1a\n",
            _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0)),
            _chunk(b"IDAT", zlib.compress(rows.tobytes(), 6)),
            _chunk(b"IEND", b""),
        )
    )
    return f"data:image/png;base64,{base64.b64encode(data).decode('ascii')}"


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
