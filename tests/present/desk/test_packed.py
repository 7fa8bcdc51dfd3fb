from __future__ import annotations

import json

from lightplan.choose.variant import Variant
from lightplan.present.desk.packed import packed, unpacked


def test_an_object_comes_out_of_a_line_of_json_as_it_went_in() -> None:
    made = Variant(years=7)
    assert unpacked(json.loads(json.dumps(packed(made)))) == made
