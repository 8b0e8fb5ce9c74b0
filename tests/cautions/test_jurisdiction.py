"""Whose rules hold where."""

from __future__ import annotations

import pytest

from heatersel.cautions.jurisdiction import Country, Straps, jurisdiction
from heatersel.errors import UnknownChoiceError
from heatersel.job.site import AltitudeReading, CodeFamily, Site
from heatersel.reference import records

IPC, UPC = CodeFamily.IPC, CodeFamily.UPC


@pytest.mark.parametrize(
    ("region", "families"),
    [
        # published lists of plumbing codes by state agree on these (seen)
        ("NY", {IPC}), ("FL", {IPC}), ("CA", {UPC}), ("OR", {UPC}), ("HI", {UPC}),
        ("MN", {UPC}),  # memory
        ("WI", {IPC, UPC}), ("MA", {IPC, UPC}),  # own codes: both are shown
        ("ON", set()), ("QC", set()),
    ],
)  # fmt: skip
def test_family_of_a_region(region, families):
    assert jurisdiction(region, Site()).families == families


def test_every_priced_region_has_rules():
    priced = {row["region"] for row in records("prices/regions", {})}
    for region in priced:
        place = jurisdiction(region, Site())
        assert (place.country is Country.CANADA) is (not place.families)


def test_site_replaces_the_regions_code_and_years():
    site = Site.model_validate(
        {"plumbing_code": "ipc", "code_year": 2015, "electrical_code_year": 2026,
         "altitude_reading": "above_2000_ft"}
    )  # fmt: skip
    place = jurisdiction("MN", site)
    assert place.families == {IPC}
    assert (place.code_year, place.electrical_year) == (2015, 2026)
    assert place.altitude_reading is AltitudeReading.ABOVE_2000_FT
    assert place.name == "MN, US (IPC 2015)"


def test_a_us_code_is_ignored_in_canada():
    assert jurisdiction("ON", Site.model_validate({"plumbing_code": "upc"})).families == set()


@pytest.mark.parametrize(
    ("region", "straps"), [("CA", Straps.USUAL), ("BC", Straps.ASK), ("MN", Straps.UNUSUAL)]
)
def test_straps(region, straps):
    assert jurisdiction(region, Site()).straps is straps


def test_unknown_region_names_an_example():
    with pytest.raises(UnknownChoiceError, match='"MN" or "ON"'):
        jurisdiction("XX", Site())
