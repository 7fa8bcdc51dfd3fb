"""Whether some wishes only tighten others, so that what is proven of the looser ones holds of them, too."""

from __future__ import annotations

import math
from collections.abc import Iterable

from lightplan.choose.scenarios import SETTLED, blue_band
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Scene, Tank
from lightplan.inputs.tank_wishes import Control, Limits, Margin


def only_tightens(loose: tuple[Tank, Catalog], tight: tuple[Tank, Catalog]) -> bool:
    """True where every plan for the tight wishes is one for the loose wishes, at no more cost; False if in doubt.

    Limits, the dimmable share, built-in timing, margins that are added, scenes that are added, and how many of a
    fixture may be bought are told apart; everything else has to be the same. Larger claim errors are no tightening of
    smaller ones, but for none: a light that is on or off may fit at much less than its claim, and not at a little less.
    """
    (old, old_catalog), (new, new_catalog) = loose, tight
    return (
        _plain(old) == _plain(new)
        and _plain_catalog(old_catalog) == _plain_catalog(new_catalog)
        and _limits_tighten(old.limits, new.limits)
        and (old.control.dimmable_share or 0.0) <= (new.control.dimmable_share or 0.0)
        and (new.control.built_in_timing or not old.control.built_in_timing)
        and old.margin.claims_factor in (0.0, new.margin.claims_factor)
        and (new.margin.ageing or not old.margin.ageing)
        and _scenes_tighten(old.scenes, new.scenes)
        and all(
            _at_most(before.max_count) >= _at_most(after.max_count)
            for before, after in zip(old_catalog.fixtures, new_catalog.fixtures, strict=True)
        )
    )


def _plain(tank: Tank) -> Tank:
    """The tank without what is looked at by itself."""
    # notes and names of files make no difference; everything that is not named here does
    return tank.model_copy(
        update={
            "limits": Limits(),
            "control": Control(),
            "margin": Margin(),
            "scenes": (),
            "circuit": None,
        }
    )


def _plain_catalog(catalog: Catalog) -> Catalog:
    fixtures = tuple(fixture.model_copy(update={"max_count": None}) for fixture in catalog.fixtures)
    return catalog.model_copy(update={"fixtures": fixtures})


def _at_most(limit: float | None) -> float:
    return math.inf if limit is None else limit


def _limits_tighten(loose: Limits, tight: Limits) -> bool:
    return all(_at_most(getattr(loose, name)) >= _at_most(getattr(tight, name)) for name in Limits.model_fields)


def _scenes_tighten(loose: Iterable[Scene], tight: Iterable[Scene]) -> bool:
    """Every scene of before is still there as it was, or with a narrower blue share; the band of "settled" is one that
    is always there."""
    before, after = ({scene.name: scene for scene in scenes} for scenes in (loose, tight))
    plain = Scene(name=SETTLED)
    return all(
        _scene_tightens(before.get(name, plain), after.get(name, plain)) for name in dict.fromkeys([SETTLED, *before])
    )


def _scene_tightens(loose: Scene, tight: Scene) -> bool:
    """The same scene, but for a blue share that lies within the one of before."""
    (low, high), (least, most) = blue_band(loose), blue_band(tight)
    return loose.model_copy(update={"blue_share_pct": tight.blue_share_pct}) == tight and low <= least and most <= high
