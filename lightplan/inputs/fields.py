"""How a column or key is declared: once, with unit, default, range and description; and the kinds of value."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from datetime import time
from typing import Annotated, Any, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    model_validator,
)
from pydantic.config import JsonDict, JsonValue
from pydantic_core import PydanticCustomError

from lightplan.inputs.errors import Fault, is_control

# sane upper limits: far above any tank, room or purse, far below what breaks arithmetic
MOST_CM = 10_000.0
MOST_MONEY = 1e9
MOST_WATTS = 100_000.0
MOST_PAR = 100_000.0
MOST_PPF = 1e6
MOST_KG = 10_000.0
MOST_HOURS = 1e7
MOST_COUNT = 100_000
FURTHEST_OUT_CM = 500.0
LONGEST_TEXT = 200

COLLECT: dict[str, bool] = {"collect": True}
# marks a field that is no column
HELD = "held"

# a spreadsheet may run a cell that begins with one of these; the last four are their full-width forms
FORMULA_STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
# joints and spaces, which alone make no name
INVISIBLE = frozenset({"Cf", "Zs"})


def about(
    unit: str,
    what: str,
    *,
    low: float | None = None,
    high: float | None = None,
    above: float | None = None,
    below: float | None = None,
    needs: str | None = None,
    stand_in: str | float | list[JsonValue] | None = None,
) -> Any:
    """Declare a column or key: its unit, what it is, and its range (low <= value <= high, above < value < below).

    `needs` says in words what would be right, where type and range do not; `stand_in` is a harmless value put in the
    place of a faulty required one, so that the rest of a file can still be checked.
    """
    extra: JsonDict = {"unit": unit, "needs": needs, "stand_in": stand_in}
    return Field(ge=low, le=high, gt=above, lt=below, description=what, json_schema_extra=extra)


def held() -> Any:
    """Declare what an object holds beside its own columns: no column of its table, and not written with it."""
    return Field(exclude=True, repr=False, json_schema_extra={HELD: True})


class Checked(BaseModel):
    """A frozen object read from a file: unknown keys, NaN and infinity are refused, and its own rules hold."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", populate_by_name=True, allow_inf_nan=False, protected_namespaces=()
    )

    def faults(self) -> Iterator[Fault]:
        """Yield the rules that this object breaks although each of its values is right by itself."""
        return iter(())

    @model_validator(mode="after")
    def _hold_rules(self, info: ValidationInfo) -> Self:
        """Refuse an object that breaks a rule, except for a reader that collects all faults of a file."""
        if info.context is COLLECT:
            return self
        broken = [fault.message for fault in self.faults() if fault.severity == "error"]
        if broken:
            raise PydanticCustomError("rule", "{broken}", {"broken": "; ".join(broken)})
        return self


def fail(message: str) -> PydanticCustomError:
    """Return the error by which a value's own check says what is wrong, in words that follow 'x is 3: '."""
    return PydanticCustomError("plain", "{message}", {"message": message})


def _check_text(text: str) -> str:
    if text.startswith(FORMULA_STARTS):
        raise fail(f"a text may not begin with {text[0]}, which a spreadsheet could run as a formula")
    if any(is_control(character) for character in text):
        raise fail("a text may not hold control characters such as tabs or line ends")
    if len(text) > LONGEST_TEXT:
        raise fail(f"a text may have {LONGEST_TEXT} characters at most, this one has {len(text)}")
    return unicodedata.normalize("NFC", text)


def _check_name(text: str) -> str:
    if any(is_control(character) for character in text):
        raise fail("a name may not hold control characters such as tabs or line ends")
    if all(unicodedata.category(character) in INVISIBLE for character in text):
        raise fail("a name may not be empty")
    return _check_text(text.strip())


def _check_note(text: str) -> str:
    # cells with several lines are common in spreadsheets, and harmless once they are one line
    return _check_text(re.sub(r"[\r\n\t]+", " ", text).strip())


def _clock(value: object) -> str:
    """Return a time of day as HH:MM; 24:00 is 00:00."""
    if isinstance(value, time):
        return f"{value.hour:02d}:{value.minute:02d}"
    found = re.fullmatch(r"(\d{1,2}):(\d{2})(?::00)?", str(value).strip(), flags=re.ASCII)
    if not found or int(found[2]) > 59 or int(found[1]) * 60 + int(found[2]) > 24 * 60:
        raise fail("needs a time of day as 'HH:MM', from 00:00 to 24:00")
    return f"{int(found[1]) % 24:02d}:{found[2]}"


def minutes(clock: str) -> int:
    """Return the minute of the day, 0 to 1439, of a time written HH:MM."""
    hours, _, rest = clock.partition(":")
    return int(hours) * 60 + int(rest)


def _rising(pair: tuple[float, float]) -> tuple[float, float]:
    if not pair[0] < pair[1]:
        raise fail("the first number must be smaller than the second")
    return pair


def _band(pair: tuple[float, float]) -> tuple[float, float]:
    if pair[0] > pair[1]:
        raise fail("upside down, the lower end is above the upper end")
    if pair[1] <= 0:
        raise fail("the upper end must be above 0")
    return pair


def _share_band(pair: tuple[float, float]) -> tuple[float, float]:
    if pair[0] > pair[1]:
        raise fail("upside down, the lower end is above the upper end")
    return pair


def _from_above(value: object) -> object:
    """Return a single depth as top and bottom."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return (value, value)
    return value


def _top_first(pair: tuple[float, float]) -> tuple[float, float]:
    if pair[0] > pair[1]:
        raise fail("the top must not be deeper than the bottom")
    return pair


def _different(values: tuple[float, ...]) -> tuple[float, ...]:
    seen: set[float] = set()
    for value in values:
        if value in seen:
            raise fail(f"{value:g} stands there twice")
        seen.add(value)
    return values


Name = Annotated[str, AfterValidator(_check_name)]
Text = Annotated[str, AfterValidator(_check_text)]
Note = Annotated[str, AfterValidator(_check_note)]
Clock = Annotated[str, BeforeValidator(_clock)]

_Position = Annotated[float, Field(ge=-FURTHEST_OUT_CM, le=MOST_CM + FURTHEST_OUT_CM)]
_Depth = Annotated[float, Field(ge=0, le=MOST_CM)]
_Height = Annotated[float, Field(gt=0, le=MOST_CM)]
_Par = Annotated[float, Field(ge=0, le=MOST_PAR)]
_Percent = Annotated[float, Field(ge=0, le=100)]
_Dli = Annotated[float, Field(ge=0, le=1000)]

Span = Annotated[tuple[_Position, _Position], AfterValidator(_rising)]
DepthSpan = Annotated[tuple[_Depth, _Depth], AfterValidator(_rising)]
Depths = Annotated[tuple[_Depth, _Depth], BeforeValidator(_from_above), AfterValidator(_top_first)]
Heights = Annotated[tuple[_Height, ...], Field(min_length=1, max_length=100), AfterValidator(_different)]
Positions = Annotated[tuple[_Position, ...], Field(min_length=1, max_length=1000), AfterValidator(_different)]
Band = Annotated[tuple[_Par, _Par], AfterValidator(_band)]
DliBand = Annotated[tuple[_Dli, _Dli], AfterValidator(_band)]
PercentBand = Annotated[tuple[_Percent, _Percent], AfterValidator(_share_band)]

# what would be right, for the kinds above
SPAN = f"two numbers from {-FURTHEST_OUT_CM:g} to {MOST_CM + FURTHEST_OUT_CM:g}, the smaller first"
DEPTH_SPAN = f"two numbers from 0 to {MOST_CM:g}, [top, bottom]"
DEPTHS = f"one number or two, [top, bottom], from 0 to {MOST_CM:g}"
HEIGHTS = f"a list of one or more numbers above 0, at most {MOST_CM:g}"
POSITIONS = f"a list of one or more numbers from {-FURTHEST_OUT_CM:g} to {MOST_CM + FURTHEST_OUT_CM:g}"
BAND = f"two numbers from 0 to {MOST_PAR:g}, [lowest, highest]"
DLI_BAND = "two numbers from 0 to 1000, [lowest, highest]"
PERCENT_BAND = "two numbers from 0 to 100, [lowest, highest]"
CLOCK = "a time of day as 'HH:MM'"
