"""The generic list is consistent with the federal rating rules; a supplier's file is checked."""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

import pytest

from heatersel.errors import InputError, UnknownChoiceError
from heatersel.heaters.catalogue import heater_by_id, load_heaters
from heatersel.heaters.heater import EnergySource, Heater, HeaterClass, Kind
from heatersel.heaters.rated import rating_faults, standby_loss_w_per_k
from heatersel.reference import dataset_path, records

GAL = 3.785411784
KBTU_H = 0.29307107
GENERIC = load_heaters().heaters


def by_id(heater: Heater) -> str:
    return heater.id


STORAGE = [heater for heater in GENERIC if not heater.is_tankless]
TANKLESS = [heater for heater in GENERIC if heater.is_tankless]


def supplier(tmp_path: Path, *rows: dict[str, str], drop: str = "", **headings: str) -> Path:
    """Write a supplier's file of generic rows with the given cells and headings changed."""
    with dataset_path("heaters/generic.csv").open(encoding="utf-8", newline="") as file:
        generic = {row["id"]: row for row in csv.DictReader(file)}
    table = [generic[row.get("copy", "gas-tank-50")] | row for row in rows]
    for row in table:
        row.pop("copy", None)
    names = [name for name in generic["gas-tank-50"] if name != drop]
    path = tmp_path / "supplier.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow([headings.get(name.split(" [")[0], name) for name in names])
        writer.writerows([[row[name] for name in names] for row in table])
    return path


def test_list_covers_the_classes_and_sizes_of_the_trade():
    count = Counter(heater.heater_class for heater in GENERIC)
    assert len(GENERIC) >= 48
    assert set(count) == set(HeaterClass)


@pytest.mark.parametrize(
    ("heater_class", "source", "smallest_gal", "largest_gal"),
    [
        (HeaterClass.ATMOSPHERIC_STORAGE, EnergySource.NATURAL_GAS, 30, 100),
        (HeaterClass.ATMOSPHERIC_STORAGE, EnergySource.PROPANE, 30, 75),
        (HeaterClass.CONDENSING_STORAGE, EnergySource.NATURAL_GAS, 50, 75),
        (HeaterClass.OIL_STORAGE, EnergySource.FUEL_OIL, 30, 50),
        (HeaterClass.ELECTRIC_STORAGE, EnergySource.ELECTRICITY, 30, 80),
        (HeaterClass.HEAT_PUMP_240V, EnergySource.ELECTRICITY, 40, 80),
        (HeaterClass.HEAT_PUMP_120V, EnergySource.ELECTRICITY, 40, 80),
    ],
)
def test_rated_volumes_lie_a_little_below_the_nominal_sizes(
    heater_class, source, smallest_gal, largest_gal
):
    # Rated volume is measured; nominal is up to about 10 % larger (from memory, high).
    sizes = [
        heater.volume_l / GAL
        for heater in GENERIC
        if (heater.heater_class, heater.energy_source) == (heater_class, source)
    ]
    assert 0.89 * smallest_gal <= min(sizes) <= smallest_gal
    assert 0.89 * largest_gal <= max(sizes) <= largest_gal


@pytest.mark.parametrize(
    ("heater_class", "smallest_kw", "largest_kw"),
    [
        (HeaterClass.TANKLESS_NON_CONDENSING, 120 * KBTU_H, 199 * KBTU_H),
        (HeaterClass.TANKLESS_CONDENSING, 120 * KBTU_H, 199 * KBTU_H),
        (HeaterClass.TANKLESS_ELECTRIC, 11.0, 36.0),
        (HeaterClass.ELECTRIC_STORAGE, 4.5, 5.5),
    ],
)
def test_inputs_span_the_range_of_the_trade(heater_class, smallest_kw, largest_kw):
    inputs = [heater.input_kw for heater in GENERIC if heater.heater_class is heater_class]
    assert min(inputs) == pytest.approx(smallest_kw)
    assert max(inputs) == pytest.approx(largest_kw)


@pytest.mark.parametrize("heater", GENERIC, ids=by_id)
def test_rating_lies_in_the_bin_of_its_draw_pattern(heater):
    # Bins: 16 CFR 305 Appendix D1, D3 and D4 (seen).
    bins = {
        row["draw_pattern"]: row
        for row in records(
            "ratings/draw_pattern_bins",
            {
                "first_hour_rating_from": "L", "first_hour_rating_below": "L",
                "max_flow_from": "L/min", "max_flow_below": "L/min",
            },
        )
    }  # fmt: skip
    row = bins[heater.draw_pattern]
    name = "max_flow" if heater.is_tankless else "first_hour_rating"
    rating = heater.max_flow_l_per_min if heater.is_tankless else heater.first_hour_rating_l

    assert row[f"{name}_from"] - 1e-9 <= rating < (row[f"{name}_below"] or 1e9)


@pytest.mark.parametrize("heater", GENERIC, ids=by_id)
def test_no_rating_contradicts_itself(heater):
    assert rating_faults(heater) == ()


@pytest.mark.parametrize("heater", TANKLESS, ids=by_id)
def test_maximum_flow_is_the_output_at_the_rise_of_the_test(heater):
    # 10 CFR 430 Subpart B Appendix E (from memory): 58 to 125 degF. 1 gal/min raised by 67 degF
    # takes 8.24 lb/gal x 1.00 Btu/(lb degF) x 67 degF x 60 min; labels state tenths of a gal/min.
    output_btu_per_h = 1000.0 * heater.input_kw * heater.recovery_efficiency / 0.29307107
    flow_gal_per_min = output_btu_per_h / (8.24 * 67.0 * 60.0)
    assert heater.max_flow_l_per_min / GAL == pytest.approx(flow_gal_per_min, abs=0.06)


@pytest.mark.parametrize(
    ("heater_class", "low", "high"),
    [
        # Water-side loss, W/K. Electric: 1.0 to 1.9 Btu/(h degF) by the label's closed form;
        # gas with a centre flue 7 to 10.6 on the input side, 3.4 to 5.6 W/K on the water side
        # (computed from typical ratings; Lutz et al. 1998, equation from memory).
        (HeaterClass.ATMOSPHERIC_STORAGE, 3.4, 5.6),
        (HeaterClass.POWER_VENTED_STORAGE, 2.0, 4.0),
        (HeaterClass.CONDENSING_STORAGE, 1.5, 3.0),
        (HeaterClass.OIL_STORAGE, 3.4, 5.6),
        (HeaterClass.ELECTRIC_STORAGE, 0.5, 1.0),
        (HeaterClass.HEAT_PUMP_240V, 1.0, 2.0),
        (HeaterClass.HEAT_PUMP_120V, 1.0, 2.0),
        (HeaterClass.HEAT_PUMP_SPLIT, 1.0, 2.0),
    ],
)
def test_tank_losses_are_those_of_the_class(heater_class, low, high):
    losses = [standby_loss_w_per_k(h) for h in GENERIC if h.heater_class is heater_class]
    assert low <= min(losses)
    assert max(losses) <= high


@pytest.mark.parametrize("heater", STORAGE, ids=by_id)
def test_first_hour_rating_is_between_the_tank_alone_and_tank_plus_recovery(heater):
    # A full tank gives at least 0.7 of its volume; no more can come than the tank plus an hour
    # of full heating at the rise of the test, and what a last draw begun in time still brings.
    heat_kw = heater.input_kw * min(heater.recovery_efficiency, 0.98)
    if heater.kind is Kind.HEAT_PUMP_STORAGE:
        heat_kw += heater.compressor_input_kw * heater.recovery_efficiency
    hour_l = heat_kw * 3600.0 / (4.18 * (67.0 / 1.8) * 0.988)
    most_l = heater.volume_l + 1.5 * hour_l
    assert 0.7 * heater.volume_l <= heater.first_hour_rating_l <= most_l


def test_a_column_may_be_in_any_unit_of_its_kind(tmp_path):
    path = supplier(tmp_path, {"volume [gal]": "180"}, volume="volume [L]")
    (heater,) = load_heaters(path).require_all()
    assert heater.volume_l == pytest.approx(180.0)


def test_without_extend_a_file_stands_alone(tmp_path):
    path = supplier(tmp_path, {"id": "own-1"}, {"id": "own-2"})
    assert [heater.id for heater in load_heaters(path).heaters] == ["own-1", "own-2"]


def test_extending_adds_rows_and_replaces_those_with_the_same_id(tmp_path):
    path = supplier(tmp_path, {"id": "own-1"}, {"uef": "0.70"})
    heaters = load_heaters(path, extend=True).require_all()
    assert len(heaters) == len(GENERIC) + 1
    assert heater_by_id(heaters, "gas-tank-50").uef == pytest.approx(0.70)


def test_zero_means_the_heater_has_none(tmp_path):
    path = supplier(tmp_path, {"copy": "electric-tank-50", "burner_input [Btu/h]": "0"})
    (heater,) = load_heaters(path).require_all()
    assert heater.input_kw == pytest.approx(4.5)


def test_freezing_point_is_a_temperature_not_a_blank(tmp_path):
    path = supplier(tmp_path, {"copy": "heat-pump-50", "min_air_temp [degF]": "0"},
                    min_air_temp="min_air_temp [degC]")  # fmt: skip
    (heater,) = load_heaters(path).require_all()
    assert heater.min_air_temp_c == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("cells", "column", "part"),
    [
        (
            {"heater_class": "atmosferic_storage"},
            "heater_class",
            "did you mean atmospheric_storage",
        ),
        ({"uef": "0.85"}, "uef", "below the recovery efficiency, 0.8"),
        ({"uef": ""}, "uef", "missing"),
        ({"uef": "good"}, "uef", "allowed: a number"),
        ({"uef": "nan"}, "uef", "allowed: 0.2 to 6"),
        ({"volume [gal]": "4800"}, "volume", "4800 gal; allowed: 1.057 to 264.2 gal"),
        ({"first_hour_rating [gal]": ""}, "first_hour_rating", "a value for atmospheric_storage"),
        ({"energy_source": "fuel_oil"}, "energy_source", "natural_gas or propane"),
        ({"vent_type": "chimney"}, "vent_type", "draft_hood, barometric"),
        ({"vent_type": "chimney"}, "vent_type", "write one of these words"),
        ({"draw_pattern": "low"}, "draw pattern", "high, the one for a first-hour rating of 85"),
        ({"kind": "tankless"}, "kind", "allowed: storage for atmospheric_storage"),
        ({"copy": "heat-pump-50", "compressor_power [kW]": ""}, "compressor_power", "missing"),
        ({"copy": "electric-tankless-18", "max_flow [gal/min]": ""}, "max_flow", "missing"),
    ],
)
def test_a_bad_cell_is_named_with_file_line_and_column(tmp_path, cells, column, part):
    path = supplier(tmp_path, {"id": "fine"}, cells | {"id": "bad"})
    found = load_heaters(path)
    assert [heater.id for heater in found.heaters] == ["fine"]
    assert {fault.name for fault in found.faults} == {column}
    assert part in found.faults[0].sentence()
    assert found.faults[0].sentence().startswith(f"{path}:3: {column}")
    with pytest.raises(InputError, match=column):
        found.require_all()


def test_every_bad_row_is_reported_at_once(tmp_path):
    path = supplier(tmp_path, {"uef": "0.95"}, {"id": "b", "kind": "tank"}, {"id": "b", "uef": "x"})
    lines = [fault.line for fault in load_heaters(path).faults]
    assert lines == [2, 3, 4]


def test_an_id_that_comes_twice_is_refused(tmp_path):
    path = supplier(tmp_path, {"id": "same"}, {"id": "same"})
    (fault,) = load_heaters(path).faults
    assert (fault.name, fault.line) == ("id", 3)


def test_a_missing_column_is_named(tmp_path):
    path = supplier(tmp_path, {}, drop="uef")
    with pytest.raises(InputError, match="column 'uef' is missing"):
        load_heaters(path)


def test_an_unknown_column_suggests_the_nearest(tmp_path):
    path = supplier(tmp_path, {}, volume="volune [gal]")
    with pytest.raises(InputError, match="did you mean volume"):
        load_heaters(path)


@pytest.mark.parametrize("title", ["volume", "volume [kW]", "volume [barn owl]"])
def test_a_heading_without_a_usable_unit_is_refused(tmp_path, title):
    path = supplier(tmp_path, {}, volume=title)
    with pytest.raises(InputError, match="column 'volume"):
        load_heaters(path)


def test_a_missing_or_empty_file_is_one_clear_message(tmp_path):
    with pytest.raises(InputError, match=r"nowhere\.csv is missing"):
        load_heaters(tmp_path / "nowhere.csv")
    with pytest.raises(InputError, match="is unreadable"):
        load_heaters(tmp_path)
    with pytest.raises(InputError, match="empty; allowed: a heading row and one heater a row"):
        load_heaters(supplier(tmp_path))


@pytest.mark.parametrize(
    ("text", "said"),
    [("", "is empty"), ("\n", "is empty"), ("surplus\n0.1\n", "not a heater list")],
)
def test_a_file_that_is_no_list_is_one_message(tmp_path, text, said):
    path = tmp_path / "supplier.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=said) as caught:
        load_heaters(path)
    assert len(caught.value.faults) == 1


def test_a_row_with_too_few_cells_is_one_message(tmp_path):
    path = supplier(tmp_path, {"id": "fine"})
    path.write_text(path.read_text(encoding="utf-8") + "only,three,cells\n", encoding="utf-8")
    found = load_heaters(path)
    assert [heater.id for heater in found.heaters] == ["fine"]
    (fault,) = found.faults
    assert fault.sentence().startswith(f"{path}:3: row is 3 cells; allowed: 31")


def test_an_unknown_id_names_the_nearest():
    with pytest.raises(UnknownChoiceError, match="gas-tank-50"):
        heater_by_id(GENERIC, "gas-tnak-50")
