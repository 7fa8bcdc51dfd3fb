"""Channels and spectra: what does not fit is told with its row, and nothing else."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightplan.inputs.catalog import Catalog, load_catalog, read_catalog
from lightplan.inputs.colour_rules import COLOUR_RULES
from lightplan.inputs.errors import InputError

CHANNELS = "fixture,channel,ppf_share,spectrum\n"
SPECTRA = "spectrum,wavelength_nm,power\n"
PEAKS = "spectrum,peak_nm,fwhm_nm,power\n"
WHITE = f"{SPECTRA}white,400,0.1\nwhite,450,1\nwhite,700,0.2\n"
BLUE = f"{PEAKS}blue,450,20,1\n"


@pytest.fixture
def told(catalog_problems: Any) -> Any:
    """Each problem as (table, row, column, message)."""

    def tell(**tables: str) -> list[tuple[str, int | None, str | None, str]]:
        return [(Path(p.file).stem, p.row, p.column, p.message) for p in catalog_problems(**tables)]

    return tell


def test_tables_without_fault(folder: Any) -> None:
    catalog = read_catalog(
        folder(
            channels__csv=f"{CHANNELS}Bar,blue,0.5,blue\nBar,white,0.3,white\nBar,warm,0.15,CIE LED-B1\nBar,uv,0.05,\n",
            spectra__csv=WHITE,
            peaks__csv=f"{BLUE}blue,470,25,0.5\n",
        )
    )
    assert [row.channel for row in catalog.channels_of("Bar")] == ["blue", "white", "warm", "uv"]
    assert [row.spectrum for row in catalog.channels_of("Bar")] == ["blue", "white", "CIE LED-B1", None]
    assert [row.power for row in catalog.spectra] == [0.1, 1, 0.2]
    assert [row.fwhm_nm for row in catalog.peaks] == [20, 25]


def test_tables_from_a_spreadsheet_of_another_country(folder: Any) -> None:
    catalog = read_catalog(
        folder(
            channels__csv="Fixture;Channel;PPF_share;spectrum;\r\nBar;Höhe;0,25;;\r\n;;;;\r\nBar;b;0,75;x;\r\n".encode(
                "cp1252"
            ),
            peaks__csv="\ufeffspectrum;peak_nm;fwhm_nm;power\r\nx;450,5;20;1\r\n",
        )
    )
    assert [(row.channel, row.ppf_share) for row in catalog.channels_of("Bar")] == [("Höhe", 0.25), ("b", 0.75)]
    assert catalog.peaks[0].peak_nm == 450.5


@pytest.mark.parametrize(
    ("tables", "row", "column", "message"),
    [
        ({"channels": "Baz,a,1,\n"}, 2, "fixture",
         "fixture is 'Baz': fixtures.csv has no such row; did you mean 'Bar'?"),
        (
            {"channels": "Bar,a,0.5,\nBar,a,0.5,\n"},
            3,
            "channel",
            "channel is 'a': stands there twice for 'Bar', each may stand once",
        ),
        (
            {"channels": "Bar,a,0.5,\nBar,b,0.4,\n"},
            2,
            "ppf_share",
            "ppf_share adds up to 0.9 over the channels of 'Bar': needs 1 in all",
        ),
        (
            {"channels": "Bar,a,60,\nBar,b,0.4,\n"},
            2,
            "ppf_share",
            "ppf_share is '60': needs a number from 0 to 1",
        ),
        (
            {"channels": "Bar,a,1,CIE LED-B33\n"},
            2,
            "spectrum",
            "spectrum is 'CIE LED-B33': is not in spectra.csv or peaks.csv and is no light of the CIE; "
            "did you mean 'CIE LED-B3'?",
        ),
        (
            {"channels": "Bar,a,1,whit\n"},
            2,
            "spectrum",
            "spectrum is 'whit': is not in spectra.csv or peaks.csv and is no light of the CIE; did you mean 'white'?",
        ),
        (
            {"spectra": "dim,400,1\n"},
            2,
            "spectrum",
            "spectrum 'dim' has one row: needs two or more, each a wavelength with its power",
        ),
        (
            {"spectra": "dim,400,1\ndim,420,1\ndim,410,1\ndim,405,1\n"},
            4,
            "wavelength_nm",
            "wavelength_nm is 410 after 420 in 'dim': needs wavelengths that rise",
        ),
        (
            {"spectra": "dim,400,1\ndim,400,2\n"},
            3,
            "wavelength_nm",
            "wavelength_nm is 400 after 400 in 'dim': needs wavelengths that rise",
        ),
        ({"spectra": "dim,400,1\ndim,420,-1\n"}, 3, "power", "power is '-1': needs a number, 0 or more"),
        (
            {"spectra": "dim,400,0\ndim,700,0\ndim,800,5\n"},
            2,
            "power",
            "power is 0 everywhere from 400 to 700 nm in 'dim': it would bring no PAR",
        ),
        (
            {"spectra": "cie d65,400,1\ncie d65,700,1\n"},
            2,
            "spectrum",
            "spectrum is 'cie d65': 'CIE' opens the names of built-in lights, needs another name",
        ),
        (
            {"spectra": "CIE D65,400,1\nCIE D65,700,1\n"},
            2,
            "spectrum",
            "spectrum is 'CIE D65': is built in, needs another name",
        ),
        ({"peaks": "far,850,20,1\n"}, 2, "peak_nm",
         "peak_nm of all peaks of 'far' is outside 400 to 700 nm: it would bring no PAR"),
        ({"peaks": "x,450,0,1\n"}, 2, "fwhm_nm", "fwhm_nm is '0': needs a number from 2 to 300"),
        ({"peaks": "x,450,20,0\n"}, 2, "power", "power is '0': needs a number above 0"),
        ({"peaks": "white,450,20,1\n"}, 2, "spectrum",
         "spectrum is 'white': spectra.csv has one of this name too, needs one of the two"),
    ],
)  # fmt: skip
def test_each_fault_is_told_once_and_where_it_is(told: Any, tables: Any, row: int, column: str, message: str) -> None:
    opening = {"channels": CHANNELS, "spectra": f"{WHITE}", "peaks": PEAKS}
    more = {name: opening[name] + text for name, text in tables.items()}
    ((table, found_row, found_column, found_message),) = told(**{"spectra": WHITE, **more})
    # the rows of "white" stand above
    assert (table, found_row) == (next(iter(tables)), row + (3 if "spectra" in tables else 0))
    assert (found_column, found_message) == (column, message)


def test_shares_need_not_add_up_to_the_last_digit(told: Any, folder: Any) -> None:
    thirds = f"{CHANNELS}Bar,a,0.33,\nBar,b,0.33,\nBar,c,0.33,\n"
    assert told(channels=thirds) == []
    catalog = read_catalog(folder(channels__csv=thirds))
    assert [row.ppf_share for row in catalog.channels_of("Bar")] == pytest.approx([1 / 3] * 3)


def test_what_rests_on_a_wrong_value_is_not_told(told: Any) -> None:
    assert [row[1:3] for row in told(channels=f"{CHANNELS}Bar,a,half,\nBar,b,0.4,\n")] == [(2, "ppf_share")]
    assert [row[1:3] for row in told(channels=CHANNELS, spectra=f"{SPECTRA}x,4oo,1\nx,350,1\n")] == [
        (2, "wavelength_nm")
    ]
    # of a table that cannot be read, its names are not missed
    rows = told(channels=f"{CHANNELS}Bar,a,1,mine\n", spectra="spectrum,wavelength_nm\nmine,400\nmine,500\n")
    assert [(table, column) for table, _, column, _ in rows] == [("spectra", "power")]
    assert [row[0] for row in told(channels=f"{CHANNELS}Bar,a,1,mine\n", spectra=SPECTRA, peaks="")] == ["peaks"]


def test_a_fixture_with_channels_control_and_no_rows_has_one_channel(make_catalog: Any) -> None:
    catalog: Catalog = make_catalog({"dimming": "channels"})
    (channel,) = catalog.channels_of("Bar")
    assert (channel.channel, channel.ppf_share, channel.spectrum) == ("all", 1, None)
    with pytest.raises(KeyError):
        catalog.channels_of("Baz")


def test_a_copy_with_other_channels_knows_them(make_catalog: Any) -> None:
    catalog: Catalog = make_catalog(channels=[{"fixture": "Bar", "channel": "a", "ppf_share": 1}])
    assert catalog.channels_of("Bar")[0].channel == "a"
    assert catalog.model_copy(update={"channels": ()}).channels_of("Bar")[0].channel == "all"


def test_a_catalog_made_in_python_is_held_to_the_rules(make_catalog: Any) -> None:
    with pytest.raises(ValueError, match="adds up to"):
        make_catalog(channels=[{"fixture": "Bar", "channel": "a", "ppf_share": 0.5}])


cells = st.lists(
    st.tuples(
        st.sampled_from(["Bar", "Baz", "white", "blue", "CIE D65", "", "x,y", "=1", "🐠"]),
        st.sampled_from(["a", "400", "450", "nan", "1e308", "-1", "", "0"]),
        st.sampled_from(["1", "0.5", "20", "inf", "half", ""]),
        st.sampled_from(["white", "1", "", "CIE A", "0"]),
    ),
    max_size=6,
)


@given(cells, cells, cells)
def test_whatever_is_typed_is_told_or_read(tmp_path_factory: Any, first: Any, second: Any, third: Any) -> None:
    directory = tmp_path_factory.mktemp("catalog")
    (directory / "fixtures.csv").write_text("fixture,price,power_w,length_cm,width_cm\nBar,50,30,60,5\n", "utf-8")
    for name, head, rows in (("channels", CHANNELS, first), ("spectra", SPECTRA, second), ("peaks", PEAKS, third)):
        wide = 3 if name == "spectra" else 4
        lines = [",".join(f'"{cell}"' for cell in row[:wide]) for row in rows]
        (directory / f"{name}.csv").write_text(head + "\n".join(lines) + "\n", "utf-8")
    problems = load_catalog(directory).problems
    if any(problem.severity == "error" for problem in problems):
        with pytest.raises(InputError):
            read_catalog(directory)
    else:
        catalog = read_catalog(directory)
        assert sum(row.ppf_share for row in catalog.channels_of("Bar")) == pytest.approx(1)


def test_every_rule_has_a_name_and_says_why() -> None:
    assert len({rule.__name__ for rule in COLOUR_RULES}) == len(COLOUR_RULES)
    assert all(rule.__doc__ for rule in COLOUR_RULES)
