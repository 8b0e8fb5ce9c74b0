"""The columns of the results: one row per house and option, one recommendation per house.

Names carry their units as in the JSON of `compare`; money is in the currency of the row.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from heatersel.heaters.heater import EnergySource
from heatersel.portfolio.rows import pyarrow_module

__all__ = ["RECOMMENDATIONS", "RESULTS", "Field", "as_parquet"]

_SOURCES = tuple(source.value for source in EnergySource)


@dataclass(frozen=True, slots=True)
class Field:
    """One column of a result table.

    Parameters
    ----------
    name : str
        With its unit.
    kind : str
        "whole", "number", "flag", "word" (few different ones), "text" or "words" (a list).
    meaning : str
        What it is.
    """

    name: str
    kind: str
    meaning: str


_HOUSE = (
    Field("row", "whole", "number of the house's row in the file, from 1"),
    Field("house", "text", "the user's name for the house, else the number of its row"),
)

RESULTS = (
    *_HOUSE,
    Field("option_id", "word", "heater"),
    Field("option_name", "word", "its name"),
    Field("kind", "word", "storage, heat_pump_storage or tankless"),
    Field("heater_class", "word", "construction class"),
    Field("energy_source", "word", "main energy source"),
    Field("rank", "whole", "place by life-cycle cost; empty if it does not take part"),
    Field("excluded_because", "words", "why it does not take part"),
    Field("sizing_required", "number", "what the household needs, in sizing_unit"),
    Field("sizing_available", "number", "what the heater gives on the coldest day"),
    Field("sizing_unit", "word", "unit of the two"),
    Field("margin_frac", "number", "available over required, less 1"),
    Field("verdict", "word", "adequate, tight or short"),
    *(Field(f"{source}_kwh", "number", f"{source} of a year") for source in _SOURCES),
    Field("delivered_kwh", "number", "heat in the hot water of a year"),
    Field("missed_kwh", "number", "heat asked for and not delivered"),
    Field("standby_loss_kwh", "number", "heat lost while waiting"),
    Field("efficiency", "number", "heat delivered over energy used"),
    Field("short_days", "number", "days a year on which water turns too cool; empty if unknown"),
    Field("space_heating_effect_kwh", "number", "heat given to the house in the heating season"),
    *(Field(f"{source}_per_year", "number", f"cost of {source} a year") for source in _SOURCES),
    Field("fixed_per_year", "number", "standing charges that it alone keeps alive"),
    Field("maintenance_per_year", "number", "upkeep a year"),
    Field("total_per_year", "number", "cost of a year"),
    Field("installed", "number", "price of the installation after price cuts"),
    Field("life_years", "number", "mean life"),
    Field("life_cycle", "number", "cost to own over the study"),
    Field("life_cycle_p10", "number", "one future in ten stays below; empty if it takes no part"),
    Field("life_cycle_p90", "number", "one future in ten goes beyond"),
    Field("cheapest_probability", "number", "share of futures in which it costs least"),
    Field("currency", "word", "USD or CAD"),
    Field("co2_kg_per_year", "number", "emissions of its energy"),
    Field("must_cautions", "words", "what must be done before it may be installed"),
    Field("stop_cautions", "words", "what forbids it as the house stands"),
    Field("to_measure", "words", "what nobody has measured yet and it depends on"),
)
"""Columns of results/."""

RECOMMENDATIONS = (
    *_HOUSE,
    Field("place", "word", "climate station"),
    Field("region", "word", "state or province"),
    Field("latitude_deg", "number", "of the house, else of the climate station"),
    Field("longitude_deg", "number", "of the house, else of the climate station"),
    Field("located", "flag", "whether the file gave the coordinates"),
    Field("occupants", "whole", "people in the house"),
    Field("daily_hot_water_l", "number", "hot water of a mean day at the setpoint"),
    Field("seed", "whole", "seed of its draws"),
    Field("defaults_used", "whole", "values that were assumed"),
    Field("option_id", "word", "recommended heater; empty if none fits"),
    Field("option_name", "word", "its name"),
    Field("heater_class", "word", "its construction class"),
    Field("energy_source", "word", "its main energy source"),
    Field("runner_up_id", "word", "the next best of another kind"),
    Field("offers", "words", "options to lay on the table"),
    Field("reasons", "words", "why this one, in sentences"),
    Field("options_ranked", "whole", "options that take part"),
    Field("options_excluded", "whole", "options that do not"),
    Field("nothing_fits_because", "words", "what keeps most options out, if none takes part"),
    Field("must_cautions", "words", "what must be done first, the permit included"),
    Field("site_work", "flag", "whether more than the permit must be done first"),
    Field("to_measure", "words", "what is still to be measured"),
    Field("currency", "word", "USD or CAD"),
    Field("installed", "number", "price of the installation"),
    Field("life_cycle", "number", "cost to own over the study"),
    Field("life_cycle_p10", "number", "one future in ten stays below"),
    Field("life_cycle_p90", "number", "one future in ten goes beyond"),
    Field("cheapest_probability", "number", "share of futures in which it costs least"),
    Field("before_class", "word", "construction class of the present heater; empty if unknown"),
    Field("before_source", "word", "its energy source"),
    Field("before_age_years", "number", "its age"),
    Field("fails_within_a_year_frac", "number", "chance that it fails within a year"),
    *(
        Field(f"{when}_{source}_kwh", "number", f"{source} of a year {when} the change")
        for when in ("before", "after")
        for source in _SOURCES
    ),
    Field("before_per_year", "number", "cost of a year with the present heater"),
    Field("after_per_year", "number", "cost of a year with the recommended one"),
    Field("before_co2_kg_per_year", "number", "emissions with the present heater"),
    Field("after_co2_kg_per_year", "number", "emissions with the recommended one"),
    Field("short_days", "number", "days a year on which water turns too cool; empty if unknown"),
    Field("electricity_plan", "word", "tariff of the house"),
)
"""Columns of recommendations/."""


def as_parquet(fields: tuple[Field, ...], rows: list[dict[str, Any]]) -> bytes:
    """Return rows as a Parquet file.

    Parameters
    ----------
    fields : tuple of Field
        Columns; what a row lacks is null.
    rows : list of dict
        In their order.

    Returns
    -------
    bytes
        Each column carries its meaning; the same rows give the same bytes.
    """
    arrow, parquet = pyarrow_module()
    kinds = {
        "whole": arrow.int64(),
        "number": arrow.float64(),
        "flag": arrow.bool_(),
        "word": arrow.string(),
        "text": arrow.string(),
        "words": arrow.list_(arrow.string()),
    }
    schema = arrow.schema(
        [
            arrow.field(field.name, kinds[field.kind], metadata={"meaning": field.meaning})
            for field in fields
        ]
    )
    sink = arrow.BufferOutputStream()
    parquet.write_table(arrow.Table.from_pylist(rows, schema=schema), sink, compression="zstd")
    return bytes(sink.getvalue())
